"""What is possible but unlikely in a register: asked about, never refused."""

from dataclasses import dataclass

from plant.loop.path import Loop
from plant.loop.turns import is_closed, turns_of
from plant.loop.vocabulary import ComponentKind, TakeUpKind

# The head's loop position is the centre distance but for how each was measured.
_CENTRES_DIFFER = 0.05
_SLACK_M = 0.001


@dataclass(frozen=True)
class RegisterFigures:
    """What the conveyor's own figures say, to be held against the loop."""

    centre_distance_m: float
    take_up: TakeUpKind
    has_belt: bool
    lift_m: float = 0.0


def questions_about(loop: Loop, figures: RegisterFigures) -> tuple[str, ...]:
    """Sentences for the keeper of the register, beginning with those of the loop itself."""
    return (
        *loop.questions,
        *_about_centres(loop, figures.centre_distance_m),
        *_about_lift(loop, figures.lift_m),
        *_about_take_up(loop, figures.take_up),
        *_about_idlers(loop),
        *_about_angles(loop),
        *(() if figures.has_belt else ("No belt is fitted. Which belt runs on it?",)),
    )


def _about_centres(loop: Loop, centre_distance_m: float) -> tuple[str, ...]:
    if abs(loop.head_m - centre_distance_m) <= _CENTRES_DIFFER * centre_distance_m:
        return ()
    return (
        f"The head pulley stands at {loop.head_m:g} m, but the centre distance is "
        f"{centre_distance_m:g} m. Which of the two is right?",
    )


def _about_lift(loop: Loop, lift_m: float) -> tuple[str, ...]:
    if abs(lift_m) < loop.head_m:
        return ()
    return (
        f"The lift is {lift_m:g} m, but the carrying run is only {loop.head_m:g} m long. Which of "
        "the two is right?",
    )


def _about_take_up(loop: Loop, take_up: TakeUpKind) -> tuple[str, ...]:
    has_pulley = bool(loop.of_kind(ComponentKind.TAKE_UP_PULLEY))
    if take_up in (TakeUpKind.GRAVITY, TakeUpKind.HORIZONTAL) and not has_pulley:
        return (f"The take-up is {take_up.value}, but no take-up pulley is in the register.",)
    return ()


def _about_idlers(loop: Loop) -> tuple[str, ...]:
    if not any(part.is_idler for part in loop.parts):
        return ("There are no idler sets yet: nobody can say where on the run the belt is off.",)
    on_pulleys = [
        part
        for part in loop.parts
        if part.is_idler
        and any(
            station.position_m > pulley.first_m + _SLACK_M
            and station.position_m < pulley.first_m + pulley.arc_m - _SLACK_M
            for station in part.stations()
            for pulley in loop.pulleys
        )
    ]
    return tuple(
        f"{part.name} has a set where the belt is on a pulley. Is its position mistyped?"
        for part in on_pulleys
    )


def _about_angles(loop: Loop) -> tuple[str, ...]:
    if is_closed(turns_of(loop.pulleys)):
        return ()
    return (
        "With the angles of the pulleys the belt does not come round; the drawing leaves out how "
        "they turn it. Which angle or wrap is mistyped?",
    )
