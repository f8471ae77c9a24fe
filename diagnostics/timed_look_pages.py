"""What the page of one timed look draws: the fold or the ways over, and the table behind them."""

from django.utils.translation import gettext as _

from diagnostics import timed_look_charts
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.watching.reading import WatchReading
from diagnostics.models import TimedLook
from diagnostics.selectors.timed_looks import LookRead
from diagnostics.timed_look_charts import Along, Mark, MarkWords, Over, Stretch
from plant.chart_view import Cell, ChartView
from plant.templatetags.sheet import side_words


def picture_of(row: TimedLook, read: LookRead) -> ChartView | None:
    """None while the register is incomplete, and where there is nothing to draw."""
    reading, conveyor = read.reading, read.conveyor
    if reading is None or conveyor is None or not (reading.curve or reading.visits):
        return None
    axis = _Axis(reading, conveyor, is_backwards=row.is_running_backwards)
    return _fold(reading, axis) if reading.curve else _ways_over(row, reading, axis)


def _fold(reading: WatchReading, axis: "_Axis") -> ChartView:
    stretches = sorted(
        (
            Stretch(axis.at(one.share), one.mean_mm, one.least_mm, one.most_mm, one.turns)
            for one in reading.curve
        ),
        key=lambda one: one.at,
    )
    along, title = axis.along(), _("offset in mm, plus to the right")
    spec = timed_look_charts.fold_chart(
        stretches, along, axis.splices(), axis.place(), title, _mark_words(along)
    )
    header = [along.title, _("mean, mm"), _("least, mm"), _("most, mm"), _("turns")]
    rows: list[list[Cell]] = [
        [_one_decimal(one.at), round(one.mean_mm), round(one.least_mm), round(one.most_mm),
         one.turns]
        for one in stretches
    ]  # fmt: skip
    caption = _("Line: mean of the turns. Band: from the least to the most of them. Dashed: a "
                "splice. Thick: what travels.")  # fmt: skip
    heading = _("All turns laid over each other")
    return ChartView("fold", heading, spec, header, rows, caption, zooms=True)


def _ways_over(row: TimedLook, reading: WatchReading, axis: "_Axis") -> ChartView:
    overs = [
        Over(
            axis.at(one.share),
            one.turn,
            side_words(one.side.value, row.case.conveyor),
            one.side.sign > 0,
        )
        for one in reading.visits
    ]
    along, turns = axis.along(), max(one.turn for one in overs)
    spec = timed_look_charts.taps_chart(
        overs, turns, along, axis.splices(), axis.place(), _("turn of the belt"),
        _mark_words(along),
    )  # fmt: skip
    header = [_("turn"), along.title, _("side")]
    rows: list[list[Cell]] = [[one.turn, _one_decimal(one.at), one.side] for one in overs]
    caption = _("A triangle for each way over, pointing to its side; what travels with the belt "
                "stands in a column. Dashed: a splice. Thick: what travels.")  # fmt: skip
    return ChartView("fold", _("Ways over, turn by turn"), spec, header, rows, caption)


def _mark_words(along: Along) -> MarkWords:
    return MarkWords(
        at=along.title,
        mean=_("mean, mm"),
        least=_("least, mm"),
        most=_("most, mm"),
        turn=_("turn"),
        side=_("side"),
    )


def _one_decimal(at: float) -> float:
    return round(at, 1)


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
