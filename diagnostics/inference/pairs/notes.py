"""Two causes at once in words: which, where, and in which order to go about them."""

from collections.abc import Iterable

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.pairs.search import Both, Half

# From this probability of all pairs on, two causes are the better explanation.
_BETTER = 0.5


def notes_on_pairs(pairs: tuple[Both, ...], conveyor: ConveyorFacts) -> Iterable[str]:
    """Which two, where, and in which order to go about them."""
    if not pairs:
        return
    best = pairs[0]
    first, second = (_in_words(half, conveyor) for half in (best.first, best.second))
    if best.second.position_m is None:
        advice = (
            "Mend what stays in place first, then time one station for three turns of the belt "
            "before the belt is touched."
        )
    else:
        advice = (
            "Mend the first one first, it stands first along the belt's way; wait three turns of "
            "the belt and look again before anything is done about the other."
        )
    together = sum(one.probability for one in pairs)
    opinion = (
        "Two causes at once explain this better than one"
        if together > _BETTER
        else "Two causes at once may be behind this"
    )
    yield (
        f"{opinion}, first of all {first}; and {second}. Beside single causes, two at once have a "
        f"probability of {together:.0%}, these two {best.probability:.0%}. {advice}"
    )


def _in_words(half: Half, conveyor: ConveyorFacts) -> str:
    name = half.cause.name[:1].lower() + half.cause.name[1:]
    side = f", driving the belt {conveyor.side_in_words(half.side)}" if half.side else ""
    if half.position_m is not None:
        at = f"{half.component} at " if half.component else ""
        run = conveyor.loop.run_at(half.position_m)
        return f"{name}, {at}{half.position_m:.0f} m on the {run} run{side}"
    if half.belt_position_m is None:
        return f"{name}, travelling with the belt, place not yet timed{side}"
    at = f"{half.component}, " if half.component else ""
    return f"{name}, {at}{half.belt_position_m:.0f} m ahead of the reference splice{side}"
