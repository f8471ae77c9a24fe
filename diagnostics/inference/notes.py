"""What the reader of an answer should know besides it: kept oddities and what the figures mean."""

from collections.abc import Iterable, Mapping

from diagnostics.inference.belt_lines import slack_side
from diagnostics.inference.evidence import ConveyorFacts, Evidence
from diagnostics.inference.timed_look import ASKED_PASSES, Travel
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.lateral import LateralModel

# Named one by one up to here, then counted.
_MOST_NAMED = 5


def notes_on(
    evidence: Evidence,
    travel: Travel | None,
    models: Mapping[LoadState, LateralModel],
    *,
    has_size: bool,
) -> tuple[str, ...]:
    """Sentences about the evidence as it was kept, and about figures that are null or rough."""
    return (
        *evidence.conveyor.loop.questions,
        *_adrift(models),
        *_slipping(evidence.conveyor),
        *_beyond_clearance(evidence),
        *_backwards(evidence),
        *_wrong_run(evidence),
        *_short_look(travel),
        *_figures(has_size),
    )


def _adrift(models: Mapping[LoadState, LateralModel]) -> Iterable[str]:
    for load, model in models.items():
        if model.is_adrift:
            yield (
                f"Running {load}, this belt has no restoring effect anywhere round its loop: it "
                "drifts by itself until an edge stops it, whatever drove it there. What was "
                "computed for this state says little about a place."
            )


def _slipping(conveyor: ConveyorFacts) -> Iterable[str]:
    slack = slack_side(conveyor)
    if slack is not None and slack.has_n < slack.needs_n:
        yield (
            f"By its registered take-up tension the belt has {slack.has_n / 1000:.1f} kN behind "
            f"the head pulley; to pull the full load there a drive needs at least "
            f"{slack.needs_n / 1000:.1f} kN, else it slips. Is the tension right in the register, "
            "and does the take-up move freely?"
        )


def _beyond_clearance(evidence: Evidence) -> Iterable[str]:
    clearance_mm = evidence.conveyor.clearance_mm
    beyond = [
        one
        for one in evidence.sightings
        if one.offset_mm is not None and abs(one.offset_mm) > clearance_mm
    ]
    for one in beyond[:_MOST_NAMED]:
        yield (
            f"{one.station}, {one.load}: {one.offset_mm:g} mm is beyond the clearance of "
            f"{clearance_mm:g} mm. It was kept; is it right?"
        )
    if len(beyond) > _MOST_NAMED:
        yield f"{len(beyond) - _MOST_NAMED} more readings lie beyond the clearance and were kept."


def _backwards(evidence: Evidence) -> Iterable[str]:
    if any(one.is_running_backwards for one in evidence.sightings):
        yield (
            "Sightings of the belt running against carrying travel are compared with the others, "
            "not fitted along the loop."
        )


def _wrong_run(evidence: Evidence) -> Iterable[str]:
    loop = evidence.conveyor.loop
    wrong = [one for one in evidence.sightings if loop.run_at(one.position_m) is not one.run]
    for one in wrong[:_MOST_NAMED]:
        yield (
            f"{one.station} was noted on the {one.run} run, but {one.position_m:g} m lies on the "
            f"{loop.run_at(one.position_m)} run. The position was taken."
        )


def _short_look(travel: Travel | None) -> Iterable[str]:
    if travel is None:
        return
    if travel.is_too_short:
        yield (
            f"The timed look lasted {travel.passes:.1f} turns of the belt, too short to tell; "
            f"{ASKED_PASSES} are asked for. It was left out."
        )
    elif travel.passes < ASKED_PASSES:
        yield (
            f"The timed look lasted {travel.passes:.1f} turns of the belt; {ASKED_PASSES} are the "
            "minimum to be sure."
        )


def _figures(has_size: bool) -> Iterable[str]:
    if has_size:
        yield (
            "Sizes are rough: how hard a roll grips the belt is uncertain by a factor of two. Take "
            "them as a first step, then look again."
        )
    yield (
        "A size, place or side that is left open could not be told from what was seen, or does not "
        "apply to the cause."
    )
