"""The last moves of one person on the outage sheet, kept in their session so that they can undo."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from plant.errors import DomainError
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.services.placing import Place

_KEPT_AS = "outage_sheet_moves"
_MOST = 20


class PlaceIsGone(DomainError):
    code = "place_is_gone"


@dataclass(frozen=True)
class Stood:
    """Where an order stood, and its version then."""

    version: int
    crew_id: int | None
    window_id: int | None
    starts_at: datetime | None
    ends_at: datetime | None

    @classmethod
    def of(cls, order: WorkOrder) -> "Stood":
        return cls(
            order.version, order.crew_id, order.window_id, order.planned_for, order.planned_until
        )

    def place(self) -> Place | None:
        """None when it had none; refuses with PlaceIsGone."""
        if self.crew_id is None or self.starts_at is None or self.ends_at is None:
            return None
        crew = Crew.objects.filter(pk=self.crew_id).first()
        window = OutageWindow.objects.filter(pk=self.window_id or 0).first()
        if crew is None or (window is None) != (self.window_id is None):
            raise PlaceIsGone(_("Where it stood, there is no such window or crew any more."))
        return Place(crew, window, self.starts_at, self.ends_at)


@dataclass(frozen=True)
class Made:
    number: str
    stood: Stood
    version: int


def remember(request: HttpRequest, stood: Stood, order: WorkOrder) -> None:
    """After a move; `stood` is how it was before."""
    made = {
        "number": order.number,
        "stood": [
            stood.version,
            stood.crew_id,
            stood.window_id,
            stood.starts_at.isoformat() if stood.starts_at else "",
            stood.ends_at.isoformat() if stood.ends_at else "",
        ],
        "version": order.version,
    }
    request.session[_KEPT_AS] = [*_all(request), made][-_MOST:]


def last(request: HttpRequest) -> Made | None:
    kept = _all(request)
    return _read(kept[-1]) if kept else None


def forget_last(request: HttpRequest, *, now_version: int | None = None) -> None:
    """After undoing it; earlier moves of the same order go by the version it has now."""
    *rest, gone = _all(request)
    if now_version is not None:
        follow(rest, gone["number"], gone["stood"][0], now_version)
    request.session[_KEPT_AS] = rest


def follow_version(request: HttpRequest, order: WorkOrder, before: int) -> None:
    """Pinning changes the version and not the place: what was moved can still be undone."""
    kept = _all(request)
    follow(kept, order.number, before, order.version)
    request.session[_KEPT_AS] = kept


def follow(kept: list[dict[str, Any]], number: str, before: int, after: int) -> None:
    for one in kept:
        if one["number"] == number and one["version"] == before:
            one["version"] = after


def _all(request: HttpRequest) -> list[dict[str, Any]]:
    return list(request.session.get(_KEPT_AS, []))


def _read(made: dict[str, Any]) -> Made:
    version, crew_id, window_id, starts_at, ends_at = made["stood"]
    stood = Stood(version, crew_id, window_id, parse_datetime(starts_at), parse_datetime(ends_at))
    return Made(made["number"], stood, made["version"])
