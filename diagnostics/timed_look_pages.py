"""What the page of one timed look draws: the fold or the ways over, and the table behind them."""

from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from diagnostics import timed_look_charts
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.watching.reading import WatchReading
from diagnostics.models import TimedLook
from diagnostics.selectors.timed_looks import LookRead
from diagnostics.timed_look_charts import Along, Mark, Over, Stretch
from plant import charts
from plant.templatetags.sheet import side_words


@dataclass(frozen=True)
class LookPicture:
    """A chart and the table behind it, of one kind or the other."""

    svg: SafeString
    along: str
    stretches: list[Stretch]
    overs: list[Over]


def picture_of(row: TimedLook, read: LookRead) -> LookPicture | None:
    """None while the register is incomplete, and where there is nothing to draw."""
    reading, conveyor = read.reading, read.conveyor
    if reading is None or conveyor is None or not (reading.curve or reading.visits):
        return None
    axis = _Axis(reading, conveyor, is_backwards=row.is_running_backwards)
    along = axis.along()
    stretches = sorted(
        (
            Stretch(axis.at(one.share), one.mean_mm, one.least_mm, one.most_mm, one.turns)
            for one in reading.curve
        ),
        key=lambda one: one.at,
    )
    overs = [
        Over(
            axis.at(one.share),
            one.turn,
            side_words(one.side.value, row.case.conveyor),
            one.side.sign > 0,
        )
        for one in reading.visits
    ]
    svg = charts.chart_svg(_spec(stretches, overs, axis))
    return LookPicture(svg, along.title, stretches, overs)


def _spec(stretches: list[Stretch], overs: list[Over], axis: "_Axis") -> dict[str, Any]:
    along, marks, place = axis.along(), axis.splices(), axis.place()
    if stretches:
        title = _("offset in mm, plus to the right")
        return timed_look_charts.fold_chart(stretches, along, marks, place, title)
    turns = max(one.turn for one in overs)
    return timed_look_charts.taps_chart(overs, turns, along, marks, place, _("turn of the belt"))


class _Axis:
    """From the part of a turn to a place on the belt, or to seconds where no splice was noted."""

    def __init__(
        self, reading: WatchReading, conveyor: ConveyorFacts, *, is_backwards: bool
    ) -> None:
        self.reading, self.belt = reading, conveyor.belt
        self.is_on_belt = reading.splice_share is not None
        self.sign = -1.0 if is_backwards else 1.0

    def along(self) -> Along:
        if self.is_on_belt:
            return Along(_("m ahead of the reference splice on the belt"), self.belt.length_m)
        return Along(_("s since the turn began"), self.reading.turn.seconds)

    def at(self, share: float) -> float:
        if self.reading.splice_share is None:
            return share * self.reading.turn.seconds
        ahead = self.sign * (self.reading.splice_share - share)
        return ahead % 1.0 * self.belt.length_m

    def splices(self) -> list[Mark]:
        if not self.is_on_belt:
            return []
        splices = [Mark(one.belt_position_m, one.name) for one in self.belt.splices]
        return splices or [Mark(0.0, _("reference splice"))]

    def place(self) -> Mark | None:
        position_m = self.reading.travel.belt_position_m
        return None if position_m is None else Mark(position_m, _("here"))
