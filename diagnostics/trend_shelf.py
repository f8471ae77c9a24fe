"""The pages under the word Trends, in the order of their places; the room above adds its own."""

from dataclasses import dataclass
from operator import attrgetter

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class TrendPage:
    place: int
    words: str | Promise
    url_name: str

    @property
    def address(self) -> str:
        return reverse(self.url_name)


_pages: dict[str, TrendPage] = {}


def register(page: TrendPage) -> None:
    _pages[page.url_name] = page


def pages() -> list[TrendPage]:
    return sorted(_pages.values(), key=attrgetter("place"))


register(TrendPage(10, _("Repeat offenders"), "repeat-offenders"))
register(TrendPage(20, _("Over time"), "trends"))
register(TrendPage(90, _("Suggested causes"), "hit-rate"))
