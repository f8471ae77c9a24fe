"""What was seen and what is suspected, laid over the drawing of the loop."""

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any, Protocol

from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics.degree_words import DEGREE_WORDS
from diagnostics.inference.vocabulary import Degree, LoadState
from diagnostics.models import Case, Diagnosis, Sighting
from plant.loop.vocabulary import Side
from plant.models import Conveyor
from plant.selectors.drawing import Mark, RibbonPoint, loop_drawing
from plant.templatetags.sheet import offset_words, side_words


class SeenRow(Protocol):
    """A kept look, of a walk-down or of a proof run."""

    @property
    def station(self) -> str: ...
    @property
    def position_m(self) -> float: ...
    @property
    def load(self) -> str: ...
    @property
    def offset_mm(self) -> float | None: ...
    @property
    def degree(self) -> str: ...
    @property
    def side(self) -> str: ...
    @property
    def is_running_backwards(self) -> bool: ...
    @property
    def not_seen_reason(self) -> str: ...


# Names a mark on the drawing without covering its neighbours.
_LONGEST_LABEL = 40


def drawing_of_case(
    case: Case,
    sightings: Sequence[Sighting],
    diagnosis: Diagnosis | None = None,
    *,
    href_of: Callable[[Sighting], str] | None = None,
) -> dict[str, Any]:
    """The loop with the looks as a ribbon, the onset and the first suspected place."""
    marks = _marks(diagnosis) if diagnosis else ()
    return loop_drawing(
        case.conveyor,
        ribbon(sightings, case.conveyor, href_of),
        marks,
        has_larger=bool(marks),
    )


def ribbon(
    sightings: Sequence[SeenRow],
    conveyor: Conveyor,
    href_of: Callable[[Any], str] | None = None,
) -> tuple[RibbonPoint, ...]:
    """One load state only, the one looked at more: two at a place would draw a zigzag."""
    load = _load_drawn(sightings)
    return tuple(
        RibbonPoint(
            position_m=one.position_m,
            offset_share=offset_of(one, conveyor.clearance_mm) / conveyor.clearance_mm,
            label=f"{one.station}: {seen_words(one, conveyor)}",
            href=href_of(one) if href_of else "",
        )
        for one in sightings
        if one.load == load and not one.is_running_backwards and not one.not_seen_reason
    )


def look_address(sighting: Sighting) -> str:
    """Where a look is read: on the summary of its walk-down."""
    return f"{reverse('walk-down-summary', args=[sighting.walk_down_id])}#look-{sighting.pk}"


def _load_drawn(sightings: Sequence[SeenRow]) -> str:
    counted = Counter(one.load for one in sightings if not one.is_running_backwards)
    is_loaded = counted[LoadState.LOADED.value] >= counted[LoadState.EMPTY.value]
    return (LoadState.LOADED if is_loaded else LoadState.EMPTY).value


def offset_of(sighting: SeenRow, clearance_mm: float) -> float:
    """The reading, or the middle of the noted degree, positive right. [mm]"""
    if sighting.offset_mm is not None:
        return sighting.offset_mm
    if not sighting.degree or not sighting.side:
        return 0.0
    return Side(sighting.side).sign * Degree(sighting.degree).share * clearance_mm


def seen_words(sighting: SeenRow, conveyor: Conveyor) -> str:
    """A look in words, with the conveyor's own word for the side."""
    if sighting.not_seen_reason:
        return _("not reachable: %(why)s") % {"why": sighting.not_seen_reason}
    if sighting.offset_mm is not None:
        return offset_words(sighting.offset_mm, conveyor)
    if sighting.degree == Degree.CENTRED:
        return str(DEGREE_WORDS[Degree.CENTRED])
    side = side_words(sighting.side, conveyor)
    return f"{DEGREE_WORDS[Degree(sighting.degree)]} {side}"


def _marks(diagnosis: Diagnosis) -> tuple[Mark, ...]:
    marks = []
    onset = diagnosis.answer.get("onset")
    if onset:
        marks.append(Mark(onset["position_m"], "onset", onset["station"], ""))
    first = next(iter(diagnosis.answer.get("ranked", [])), None)
    if first and first["position_m"] is not None:
        label = (first["component"] or "")[:_LONGEST_LABEL]
        marks.append(Mark(first["position_m"], "suspected", label, ""))
    return tuple(marks)
