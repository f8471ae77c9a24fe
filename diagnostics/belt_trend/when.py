"""When the cases of a belt were, when a mend passed its proof, and what was made new meanwhile."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import groupby
from operator import attrgetter
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import replacements
from diagnostics.belt_trend import when_chart
from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.when_chart import Hold, Row, Seen
from diagnostics.belt_trend.words import family_words, nothing_words
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.replacements import Replacement
from diagnostics.selectors.belt_faults import BeltFault, BeltStudy
from plant.chart_view import Cell, ChartView, Linked

_FAMILIES = [one.value for one in CauseClass]


def build(study: BeltStudy) -> BuiltPart:
    """What the sources of replacements ask, and no query more."""
    made_new = replacements.replacements_of(study.conveyor, study.period.first, study.last_on)
    heading = _("When, and what was made new meanwhile")
    if not study.faults and not made_new:
        return BuiltPart(heading, header=_header(), missing=nothing_words())
    # The newest first: of very many the page shows the first ones.
    lines = sorted(_lines(study, made_new), key=lambda line: str(line[0]), reverse=True)
    rows = [*_family_rows(study), *_new_rows(made_new)]
    chart = ChartView(
        slug="time",
        heading=heading,
        lead=_lead(study, made_new),
        spec=when_chart.spec_of(rows, study.period.first, study.last_on),
        narrow_spec=when_chart.spec_of(
            rows, study.period.first, study.last_on, width=when_chart.NARROW
        ),
        header=_header(),
        rows=lines,
        caption=_caption(),
        file_address=study.file_address("time"),
    )
    return BuiltPart(heading, chart=chart)


def _caption() -> str:
    return _(
        "Ring: a case. Diamond: a repeat of an earlier case, with a rule from the day its "
        "mend had passed its proof. Tick: a mend passed its proof. Square: made new. A number "
        "counts what lies too close together to be drawn apart."
    )


def _lead(study: BeltStudy, made_new: Sequence[Replacement]) -> str:
    many = len(study.faults)
    told = ngettext("%(many)s case", "%(many)s cases", many) % {"many": many}
    again = ngettext("%(again)s a repeat", "%(again)s repeats", study.repeats)
    proved = sum(fault.proved_at is not None for fault in study.faults)
    mends = ngettext("%(many)s mend proved", "%(many)s mends proved", proved) % {"many": proved}
    new = ngettext("made new on %(many)s day", "made new on %(many)s days", _days(made_new))
    return "; ".join(
        (
            f"{told}, {again % {'again': study.repeats}}",
            mends,
            _("parts %(new)s.") % {"new": new % {"many": _days(made_new)}},
        )
    )


def _days(made_new: Sequence[Replacement]) -> int:
    return len({one.on for one in made_new})


def _family_rows(study: BeltStudy) -> Iterator[Row]:
    by_family: dict[str, list[BeltFault]] = {}
    for fault in study.faults:
        by_family.setdefault(fault.family, []).append(fault)
    zone, period = study.conveyor.plant.zone_info, study.period
    for family in sorted(by_family, key=_family_place):
        faults = by_family[family]
        proofs = [_day(fault.proved_at, zone) for fault in faults if fault.proved_at]
        yield Row(
            family_words(family),
            seen=[Seen(fault.on, fault.is_repeat, fault.number) for fault in faults],
            proofs=[day for day in proofs if period.first <= day <= study.last_on],
            holds=[
                Hold(max(period.first, _day(fault.held_from, zone)), fault.on)
                for fault in faults
                if fault.held_from
            ],
        )


def _family_place(family: str) -> tuple[bool, int, str]:
    place = _FAMILIES.index(family) if family in _FAMILIES else len(_FAMILIES)
    return not family, place, family


def _new_rows(made_new: Sequence[Replacement]) -> Iterator[Row]:
    for kind, found in groupby(sorted(made_new, key=attrgetter("kind")), attrgetter("kind")):
        # Said in full: a cause family may have the very word of a part.
        words = _("%(kind)s made new") % {"kind": kind}
        yield Row(words, made_new=[Seen(one.on, False, one.words) for one in found])


def _header() -> list[str]:
    return [_("day"), _("what"), _("which"), _("cause family"), _("held (days)")]


def _lines(study: BeltStudy, made_new: Sequence[Replacement]) -> Iterator[list[Cell]]:
    zone = study.conveyor.plant.zone_info
    for fault in study.faults:
        number, family = Linked(fault.number, fault.address), family_words(fault.family)
        held = (fault.opened_at - fault.held_from).days if fault.held_from else None
        what = _("repeat of %(number)s") % {"number": fault.repeats_number}
        yield [fault.on.isoformat(), what if fault.is_repeat else _("case"), number, family, held]
        if fault.proved_at:
            proved_on = _day(fault.proved_at, zone)
            yield [proved_on.isoformat(), _("mend proved"), number, family, None]
    for one in made_new:
        which = Linked(one.words, one.address) if one.address else one.words
        yield [one.on.isoformat(), _("%(kind)s made new") % {"kind": one.kind}, which, "", None]


def _day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()
