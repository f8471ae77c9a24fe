"""How the reckoning behind the repeat offenders stands, in words; and their list as a file."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import reckoning_words, step_words
from diagnostics.class_words import class_words
from diagnostics.knowledge_entries import Library
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.offender_rows import suggestions_of
from diagnostics.recurrence.faults.detail import BeltDetail
from diagnostics.selectors import reckoned_faults
from diagnostics.selectors.reckoned_faults import Freshness
from diagnostics.trend_exposure import basis_sentence
from plant.metering.basis import Basis
from plant.models import Plant
from plant.services.claiming import SILENCE


@dataclass(frozen=True)
class Standing:
    """What is known of a reckoning: `done` in per cent; `since` what has changed, "" for nothing.

    `notes` are sentences about all of its figures, `address` is the page that shows it.
    """

    is_there: bool
    is_owed: bool
    is_silent: bool
    when: str
    since: str
    period: str
    notes: list[str]
    refusal: str
    done: int
    address: str


def standing_of(
    reckoning: FaultReckoning, address: str, now: datetime, *, is_chosen: bool
) -> Standing:
    """`is_chosen` where somebody named the exposure."""
    fresh, worked_at = reckoned_faults.freshness_of(reckoning, now), reckoning.worked_at
    faults = reckoned_faults.plant_faults(reckoning)
    return Standing(
        is_there=fresh.reckoned_at is not None,
        is_owed=fresh.is_owed,
        is_silent=worked_at is not None and worked_at < now - SILENCE,
        when=when_words(fresh.reckoned_at, reckoning.plant, now),
        since=_since(fresh),
        period=_period(reckoning, is_chosen=is_chosen),
        notes=reckoning_words.notes_words(faults.notes) if faults else [],
        refusal=reckoning_words.refusal_words(reckoning.refusal) if reckoning.refusal else "",
        done=round(100 * reckoning.progress),
        address=address,
    )


def when_words(at: datetime | None, plant: Plant, now: datetime) -> str:
    """`today 06:12`, `yesterday 06:12`, `2026-11-20 06:12`, in the plant's zone."""
    if at is None:
        return ""
    local = timezone.localtime(at, plant.zone_info)
    told = {"time": f"{local:%H:%M}", "day": f"{local:%Y-%m-%d}"}
    match (plant.day_of(now) - local.date()).days:
        case 0:
            return _("today %(time)s") % told
        case 1:
            return _("yesterday %(time)s") % told
    return _("%(day)s %(time)s") % told


def _since(fresh: Freshness) -> str:
    """`3 cases and 1 meter reading since`."""
    told = []
    if fresh.cases:
        told.append(ngettext("%(n)d case", "%(n)d cases", fresh.cases) % {"n": fresh.cases})
    if fresh.readings:
        words = ngettext("%(n)d meter reading", "%(n)d meter readings", fresh.readings)
        told.append(words % {"n": fresh.readings})
    if not told:
        return _("a new day has begun since") if fresh.new_day else ""
    return _("%(what)s new or changed since") % {"what": _(" and ").join(told)}


def _period(reckoning: FaultReckoning, *, is_chosen: bool) -> str:
    days = (reckoning.last_on - reckoning.first_on).days + 1
    words = ngettext(
        "%(first)s to %(last)s: %(n)d day.", "%(first)s to %(last)s: %(n)d days.", days
    )
    told = {"first": reckoning.first_on, "last": reckoning.last_on, "n": days}
    return f"{words % told} {basis_sentence(Basis(reckoning.basis), is_chosen=is_chosen)}"


def file_rows(belts: Iterable[BeltFaults], library: Library) -> Iterator[list[Any]]:
    """The list as a file, its header first; figures that are not known are empty."""
    yield [
        _("plant"),
        _("conveyor"),
        _("name"),
        _("area"),
        _("cases"),
        _("repeats"),
        _("lost hours"),
        _("cases without lost hours said"),
        _("exposure"),
        _("days of unknown exposure"),
        _("rate"),
        _("fair rate"),
        _("fair rate from"),
        _("fair rate to"),
        _("probability worse than 1.5 times the usual rate"),
        _("trend (1 worse, -1 better)"),
        _("trend p, adjusted"),
        _("power-law shape"),
        _("leading cause family"),
        _("cases of it"),
        _("order that did not hold"),
        _("days held"),
        _("next step"),
        _("why"),
    ]
    for belt in belts:
        yield _file_row(belt, library)


def _file_row(belt: BeltFaults, library: Library) -> list[Any]:
    detail = BeltDetail.of_json(belt.detail)
    step = suggestions_of(belt, library)[0]
    is_said = belt.lost_hours_unsaid < belt.events or not belt.events
    return [
        belt.conveyor.plant.code,
        belt.conveyor.tag,
        belt.conveyor.name,
        belt.conveyor.area,
        belt.events,
        belt.repeats,
        _rounded(belt.lost_hours) if is_said else None,
        belt.lost_hours_unsaid,
        _rounded(belt.exposure),
        _rounded(belt.unknown_days),
        _rounded(belt.rate),
        _rounded(belt.shrunk),
        _rounded(belt.lower),
        _rounded(belt.upper),
        _rounded(belt.probability_worse),
        belt.trend,
        _rounded(belt.trend_p),
        _rounded(belt.trend_shape),
        class_words(belt.leading_family) if belt.leading_family else "",
        belt.leading_events if belt.leading_family else None,
        detail.last_failed.order if detail.last_failed else "",
        detail.last_failed.days_held if detail.last_failed else None,
        step_words.step_words(step, library.work_methods) if belt.events else "",
        step_words.reason_words(step, library.work_methods) if belt.events else "",
    ]


def _rounded(figure: float | None) -> float | None:
    """Six significant digits: enough for anybody's own reckoning, no noise beyond."""
    return None if figure is None else float(f"{figure:.6g}")
