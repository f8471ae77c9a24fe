"""What a lead of an invented plant is thinking of changing in the knowledge: one draft."""

from datetime import datetime, time, timedelta

from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import mark_of
from diagnostics.services import knowledge_keeping
from diagnostics.services.knowledge_keeping import Wanted
from plant.models import Plant
from plant.roles import Role
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read

_MORNING = time(10, 5)


def draft_changes(plant: Plant, cast: Cast, now: datetime) -> None:
    """By the plant's first lead, at the same hour whenever the demo is loaded."""
    said = read("draft.yaml")
    if said["plant"] != plant.code:
        return
    lead = cast.by_role[Role.LEAD][0]
    day = plant.day_of(now) - timedelta(days=said["days_ago"])
    at = datetime.combine(day, _MORNING, plant.zone_info)
    draft = knowledge_keeping.begin_draft(plant_id=plant.pk, title=said["title"], by=lead, now=at)
    for one in said["changes"]:
        kind, slug = Kind(one["kind"]), one["slug"]
        stands = entries_of(draft.contents, kind).get(slug)
        entry = {**(stands or {}), "slug": slug, **one["with"]}
        knowledge_keeping.keep_entry(
            draft_id=draft.pk,
            wanted=Wanted(kind, slug, entry, mark_of(stands)),
            why=one["why"],
            by=lead,
            now=at,
        )
