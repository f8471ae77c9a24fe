"""The monthly report among the pages of trends."""

from django.utils.translation import gettext_lazy as _

from diagnostics import trend_shelf
from diagnostics.trend_shelf import TrendPage


def register() -> None:
    trend_shelf.register(TrendPage(80, _("Monthly report"), "monthly-reports"))
