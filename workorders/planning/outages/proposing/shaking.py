"""A plan shaken: jobs of a window or two taken out and put back in another order, again and again.

On few cores it finds in a second or two what the solver would look for much longer; what is no
better is thrown away.
"""

from collections.abc import Callable, Mapping

from numpy.random import Generator

from workorders.planning.outages.plan import Placement
from workorders.planning.outages.proposing.figures import Aim, figure_floor, figure_of
from workorders.planning.outages.proposing.greedy import Placing, fill
from workorders.planning.outages.proposing.question import Question

# Engineering judgement: so many tries for each placed job that win nothing end it.
_TRIES_A_JOB = 10
# How far from its weight a job or a belt may press, up and down.
_SPREAD = 3.0
_AIMS = (Aim.LATE, Aim.ISOLATIONS, Aim.OVERTIME)


def shake(
    question: Question,
    placed: Mapping[str, Placement],
    goes_on: Callable[[int], bool],
    most_moves: int | None,
    draw: Generator,
) -> dict[str, Placement]:
    """The best plan found until `goes_on`, which hears the figure of the first aim, says no.

    Or until nothing was won for long, or there is nothing to win.
    """
    best = dict(placed)
    least = [figure_of(aim, question, best) for aim in _AIMS]
    floor = [figure_floor(aim, question) for aim in _AIMS]
    patience = left = _TRIES_A_JOB * len(best)
    while least > floor and left and goes_on(least[0]):
        left -= 1
        tried = _put_back_otherwise(question, best, draw)
        if most_moves is not None and figure_of(Aim.MOVES, question, tried) > most_moves:
            continue
        figures = [figure_of(aim, question, tried) for aim in _AIMS]
        if figures < least:
            left = patience
        if figures <= least:
            best, least = tried, figures
    return best


def _put_back_otherwise(
    question: Question, placed: Mapping[str, Placement], draw: Generator
) -> dict[str, Placement]:
    taken_out = _taken_out(question, placed, draw)
    placing = Placing(question)
    placing.put_all({key: one for key, one in placed.items() if key not in taken_out})
    belts = sorted({job.conveyor for job in question.free.values()})
    by_belt = {belt: _SPREAD ** draw.uniform(-1, 1) for belt in belts}
    pressing = {
        key: job.weight * by_belt[job.conveyor] * _SPREAD ** draw.uniform(-0.5, 0.5)
        for key, job in question.free.items()
    }
    fill(placing, pressing)
    return placing.placed


def _taken_out(question: Question, placed: Mapping[str, Placement], draw: Generator) -> set[str]:
    """The jobs of a window or two, those of two belts, and all that wait for one of them."""
    keys = list(placed)
    windows = {placed[key].window for key in draw.choice(keys, int(draw.integers(1, 3)))}
    belts = {question.free[key].conveyor for key in draw.choice(keys, 2)}
    out = {
        key for key in keys if placed[key].window in windows or question.free[key].conveyor in belts
    }
    return out | _followers(question, out)


def _followers(question: Question, keys: set[str]) -> set[str]:
    """All that wait for them, down the line: they must not stand where those cannot be put back."""
    found: set[str] = set()
    waiting = list(keys)
    while waiting:
        for key in question.followers[waiting.pop()]:
            if key not in found:
                found.add(key)
                waiting.append(key)
    return found
