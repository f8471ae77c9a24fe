"""Complaints and cases are told in their feeds, whoever writes them."""

from diagnostics.models.case import Case
from diagnostics.models.complaint import Complaint
from plant.models.feed import Feed
from plant.models.feed_triggers import Told, told_in_feed

told_in_feed(
    Told(
        Feed.COMPLAINTS,
        "complaint",
        "diagnostics.api.serializers.ComplaintDetail",
        plant="plant",
    )
)(Complaint)
# What is owed to a case changes its row, and nothing that anybody outside sees.
told_in_feed(
    Told(
        Feed.CASES,
        "case",
        "diagnostics.api.case_serializers.CaseRecord",
        key="number",
        no_news=("changed_at",),
    )
)(Case)
