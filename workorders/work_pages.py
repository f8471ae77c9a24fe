"""The pages of work, in the order in which they stand under the word Work."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class WorkPage:
    words: str | Promise
    url_name: str

    @property
    def address(self) -> str:
        return reverse(self.url_name)


PAGES = (
    WorkPage(_("Orders"), "work"),
    WorkPage(_("Due list"), "due"),
    WorkPage(_("Outage sheet"), "outage-sheet"),
    WorkPage(_("Plan"), "plan"),
    WorkPage(_("Lives"), "lives"),
    WorkPage(_("Windows and crews"), "windows"),
    WorkPage(_("Hand-over"), "hand-over"),
    WorkPage(_("Papers"), "papers"),
    WorkPage(_("Parts"), "parts"),
    WorkPage(_("Raised by itself"), "raising-by-itself"),
)
