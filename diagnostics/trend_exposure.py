"""What the trend pages say of the exposure: which it is, why, how much, and what is left out."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import Case
from diagnostics.selectors import case_rates
from diagnostics.selectors.case_rates import CaseRate
from diagnostics.selectors.trends import Period
from plant import exposure_words
from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock
from plant.models import Conveyor
from plant.selectors import exposures
from plant.templatetags.sheet import plant_date


@dataclass(frozen=True)
class ExposureSaid:
    """`sentences` on the exposure, `rate` in words with its `limits` ("" without), a line a gap."""

    sentences: list[str]
    rate: str = ""
    limits: str = ""
    gaps: tuple[str, ...] = ()


def of_belt(
    conveyor: Conveyor,
    cases: QuerySet[Case],
    period: Period,
    exposure: tuple[Basis, BeltClock | None],
    now: datetime,
    *,
    is_chosen: bool,
) -> ExposureSaid:
    """Of one belt, `exposure` its basis and clock in the period; one query."""
    basis, clock = exposure
    clocks = {} if clock is None else {conveyor.pk: clock}
    rate = case_rates.rates_of(cases, period, clocks, [conveyor.pk])[conveyor.pk]
    zone = conveyor.plant.zone_info
    begin, _end = exposures.instants_of(zone, period.first, period.last, now)
    sentences = [
        basis_sentence(basis, is_chosen=is_chosen),
        *_watched(rate, conveyor, begin),
        _counted(rate, basis),
    ]
    return ExposureSaid(
        [one for one in sentences if one],
        "" if rate.rate is None else exposure_words.rate_words(rate.rate, basis),
        limits(rate, basis),
        tuple(_gaps(rate, zone)),
    )


def of_belts(
    basis: Basis,
    clocks: Collection[BeltClock],
    rates: Collection[CaseRate],
    *,
    is_chosen: bool,
) -> ExposureSaid:
    """Of all belts together; `rates` of those with cases."""
    known = [clock.total for clock in clocks if clock.is_known]
    together = ngettext(
        "%(all)d belt was watched in the period, for %(known)d the exposure is known: %(amount)s.",
        "%(all)d belts were watched in the period, for %(known)d the exposure is known: together "
        "%(amount)s.",
        len(clocks),
    ) % {
        "all": len(clocks),
        "known": len(known),
        "amount": exposure_words.amount_words(sum(known), basis),
    }
    left_out = sum(rate.left_out for rate in rates)
    sentences = [basis_sentence(basis, is_chosen=is_chosen), together if clocks else ""]
    if left_out:
        sentences.append(
            ngettext(
                "%(n)d case falls into time of which the exposure is not known: it stands among "
                "the cases, not in the rates.",
                "%(n)d cases fall into time of which the exposure is not known: they stand among "
                "the cases, not in the rates.",
                left_out,
            )
            % {"n": left_out}
        )
    return ExposureSaid([one for one in sentences if one])


def basis_sentence(basis: Basis, *, is_chosen: bool) -> str:
    said = exposure_words.basis_words(basis)
    if is_chosen:
        return said
    told = {
        "share": round(100 * exposures.SHARE_OF_TIME),
        "belts": round(100 * exposures.SHARE_OF_BELTS),
    }
    if basis is Basis.RUNNING:
        why = _(
            "That is the plant's usual exposure on every page: in the last 18 months the meters of "
            "%(belts)d %% of its belts were read for at least %(share)d %% of the time."
        )
    else:
        why = _(
            "That is the plant's usual exposure on every page: running hours would be where in the "
            "last 18 months the meters of %(belts)d %% of its belts were read for at least "
            "%(share)d %% of the time."
        )
    return f"{said} {why % told}"


def limits(rate: CaseRate, basis: Basis) -> str:
    """Empty where there is no rate."""
    return exposure_words.limits_words(*rate.limits, basis) if rate.limits else ""


def no_rate(rate: CaseRate) -> str:
    """Why there is no rate; empty where there is one."""
    if rate.rate is not None:
        return ""
    if rate.clock is None:
        return _("The belt was not watched in this period: choose another one.")
    if rate.exposure is None:
        return _(
            "No meter reading covers any of the period, so there is nothing to divide its "
            "cases by: read the meter, or choose calendar time."
        )
    return _(
        "By the meter it did not run in the period, so there is nothing to divide its cases by."
    )


def _watched(rate: CaseRate, conveyor: Conveyor, begin: datetime) -> Iterator[str]:
    clock = rate.clock
    if clock is None:
        return
    if clock.first > begin:
        yield _("The belt is watched since %(day)s, when its record begins.") % {
            "day": plant_date(clock.first, conveyor.plant)
        }
    if conveyor.retired_on is not None:
        yield _("It was retired on %(day)s.") % {"day": f"{conveyor.retired_on:%Y-%m-%d}"}
    if rate.unwatched:
        yield ngettext(
            "%(n)d case lies outside the time in which it was watched and is left out of the rate.",
            "%(n)d cases lie outside the time in which it was watched and are left out of the "
            "rate.",
            rate.unwatched,
        ) % {"n": rate.unwatched}


def _counted(rate: CaseRate, basis: Basis) -> str:
    if rate.rate is None:
        return no_rate(rate)
    return ngettext("%(n)d case in %(amount)s.", "%(n)d cases in %(amount)s.", rate.counted) % {
        "n": rate.counted,
        "amount": exposure_words.amount_words(rate.exposure or 0.0, basis),
    }


def _gaps(rate: CaseRate, zone: ZoneInfo) -> Iterator[str]:
    for gap, cases in rate.gaps:
        left_out = exposure_words.left_out_words(cases)
        yield f"{exposure_words.gap_words(gap, zone)} {left_out}".strip()
