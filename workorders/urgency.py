"""How soon an order must be done, from what is known when it is judged; pure.

Every rule says how soon by itself and why; the soonest counts, and all say so. So no rule can make
another one milder, and more that is known to be bad never makes work less urgent. A person may say
otherwise, with a reason. Thresholds are engineering judgement, to be calibrated; that grain and
other combustible dust needs no more than a rubbing edge's heat is why it counts (29 CFR 1910.272
on grain handling).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum

from plant.loop.vocabulary import Consequence
from workorders.planning.offset_trend import OffsetTrend, Pace


class Urgency(StrEnum):
    STOP_NOW = "stop_now"
    THIS_SHIFT = "this_shift"
    NEXT_OUTAGE = "next_outage"
    WATCH = "watch"


# Shares of the edge clearance used up: hard over, and no more than slight. Where more stands still
# with the belt, less is let go.
HARD_OVER_SHARE = 0.8
SLIGHT_SHARE = 0.4
_HARD_OVER = {Consequence.WHOLE_LINE: 0.65}
_SLIGHT = {Consequence.WHOLE_LINE: 0.25, Consequence.WAY_ROUND: 0.5}
# Days until the edge touches at the pace seen: within the first it cannot wait for an outage,
# within the last it cannot be left.
SOON_DAYS, SOON_DAYS_IF_WORSE, MONTH_DAYS = 3.0, 7.0, 30.0
# What gives off dust that a hot edge can set alight.
COMBUSTIBLE = (
    "barley", "biomass", "cereal", "coal", "coke", "corn", "flour", "grain", "lignite",
    "maize", "malt", "meal", "oats", "peat", "pellets", "rice", "seed", "soy", "starch",
    "sugar", "sulphur", "wheat", "wood",
)  # fmt: skip


@dataclass(frozen=True)
class Trouble:
    """What is known about the belt when the urgency of work is judged.

    Attributes
    ----------
    how_bad : frozenset of str
        Words of the complaints: "off_centre", "spilling", "rubbing", "stopped".
    worst_offset_mm : float or None
        Largest distance from the centre line that was seen, either side; None when nobody
        looked. [mm]
    clearance_mm : float
        How far the belt can run before its edge touches, > 0. [mm]
    carries : str
        What is on the belt, in the register's words.
    consequence : Consequence or None
        What stands still with it; None when the register does not say.
    people_near : frozenset of str
        Words of the complaints: "nobody", "pass" (people walk or work beside or below it), "fall"
        (material or parts fall where people are).
    trend : OffsetTrend or None
        How the offset went from look to look.
    """

    how_bad: frozenset[str]
    worst_offset_mm: float | None
    clearance_mm: float
    carries: str = ""
    consequence: Consequence | None = None
    people_near: frozenset[str] = field(default_factory=frozenset)
    trend: OffsetTrend | None = None

    @property
    def share(self) -> float | None:
        """Of the clearance, used up."""
        if self.worst_offset_mm is None:
            return None
        return abs(self.worst_offset_mm) / self.clearance_mm

    @property
    def rubs(self) -> bool:
        return "rubbing" in self.how_bad or (self.share is not None and self.share >= 1)


@dataclass(frozen=True)
class Judged:
    urgency: Urgency
    reasons: tuple[str, ...]


Vote = tuple[Urgency, str]


def judge_urgency(trouble: Trouble) -> Judged:
    """Choose one of the four urgencies and say why, the most urgent reason first.

    Parameters
    ----------
    trouble : Trouble

    Returns
    -------
    Judged
        The urgency and at least one sentence.

    Raises
    ------
    ValueError
        The clearance is not above 0 mm.
    """
    if not trouble.clearance_mm > 0:
        raise ValueError(f"clearance_mm must be > 0 mm, got {trouble.clearance_mm!r}")
    order = list(Urgency)
    votes = sorted(_votes(trouble), key=lambda vote: order.index(vote[0]))
    return Judged(votes[0][0], tuple(sentence for _urgency, sentence in votes))


def _votes(trouble: Trouble) -> Iterator[Vote]:
    if "stopped" in trouble.how_bad:
        yield Urgency.STOP_NOW, "The belt stands because of it; leave it stopped."
    yield from _rubbing(trouble)
    if "spilling" in trouble.how_bad:
        yield (
            Urgency.NEXT_OUTAGE,
            "It spills: what falls builds up on rolls and pulleys and pushes the belt further.",
        )
    yield from _edge(trouble)
    yield from _people(trouble)
    yield from _pace(trouble)
    yield from _consequence(trouble)


def _edge(trouble: Trouble) -> Iterator[Vote]:
    share = trouble.share
    if share is None or trouble.worst_offset_mm is None:
        yield (
            Urgency.NEXT_OUTAGE,
            "Nobody has looked yet how far the edge is from the structure.",
        )
        return
    worst_mm, clearance_mm = abs(trouble.worst_offset_mm), trouble.clearance_mm
    if share >= 1:
        yield (
            Urgency.THIS_SHIFT,
            f"The edge touches: {worst_mm:.0f} mm off with {clearance_mm:.0f} mm clearance.",
        )
        return
    sentence = f"{clearance_mm - worst_mm:.0f} mm of {clearance_mm:.0f} mm edge clearance are left."
    if share >= _limit(_HARD_OVER, trouble, HARD_OVER_SHARE):
        yield Urgency.THIS_SHIFT, sentence
    elif share >= _limit(_SLIGHT, trouble, SLIGHT_SHARE):
        yield Urgency.NEXT_OUTAGE, sentence
    else:
        yield Urgency.WATCH, sentence


def _limit(limits: dict[Consequence, float], trouble: Trouble, usual: float) -> float:
    return limits.get(trouble.consequence, usual) if trouble.consequence else usual


def _rubbing(trouble: Trouble) -> Iterator[Vote]:
    if not trouble.rubs:
        return
    yield Urgency.THIS_SHIFT, "The belt rubs: edge and structure wear, and it heats."
    burning = _combustible_in(trouble.carries)
    if burning is not None:
        yield (
            Urgency.STOP_NOW,
            f"It carries {trouble.carries}: dust of {burning} can catch fire at a rubbing edge.",
        )


def _people(trouble: Trouble) -> Iterator[Vote]:
    if "fall" in trouble.people_near:
        yield (
            Urgency.THIS_SHIFT,
            "Material or parts fall where people are: rope it off now, and keep it so.",
        )
    if "pass" in trouble.people_near:
        falls = trouble.rubs or "spilling" in trouble.how_bad
        sentence = "People walk or work beside or below it."
        yield (Urgency.THIS_SHIFT if falls else Urgency.NEXT_OUTAGE), sentence


def _pace(trouble: Trouble) -> Iterator[Vote]:
    trend = trouble.trend
    if trend is None or trend.pace is Pace.TOO_FEW or trend.mm_per_week is None:
        return
    weekly = f"{abs(trend.mm_per_week):.0f} mm a week, by {trend.looks} looks"
    if trend.pace is Pace.EASING:
        yield Urgency.WATCH, f"It has been coming back by about {weekly}."
    elif trend.pace is Pace.UNCLEAR:
        yield (
            Urgency.WATCH,
            f"Whether it grows cannot be told yet: {trend.looks} looks differ by no more than an "
            "eye does.",
        )
    elif trend.days_left is None:
        yield Urgency.NEXT_OUTAGE, f"It grows by about {weekly}."
    else:
        yield _soon(trouble, trend.days_left), _pace_words(trend, weekly)


def _soon(trouble: Trouble, days_left: float) -> Urgency:
    is_worse = trouble.consequence is Consequence.WHOLE_LINE
    is_worse |= _combustible_in(trouble.carries) is not None
    if days_left <= (SOON_DAYS_IF_WORSE if is_worse else SOON_DAYS):
        return Urgency.THIS_SHIFT
    return Urgency.NEXT_OUTAGE if days_left <= MONTH_DAYS else Urgency.WATCH


def _pace_words(trend: OffsetTrend, weekly: str) -> str:
    days = trend.days_left or 0.0
    about = f"about {days:.0f} days" if days >= 1.5 else "a day or less"
    least = trend.least_days_left
    if least is not None and round(least) < round(days):
        about += f", perhaps {least:.0f},"
    return f"It grows by about {weekly}: at that pace the edge touches {about} after the last look."


def _consequence(trouble: Trouble) -> Iterator[Vote]:
    """Nothing by itself: it says why less was let go, or more."""
    if trouble.consequence is Consequence.WHOLE_LINE:
        yield Urgency.WATCH, "The whole line stands when this belt does: less is let go here."
    elif trouble.consequence is Consequence.WAY_ROUND:
        yield Urgency.WATCH, "There is a way round this belt."


def _combustible_in(carries: str) -> str | None:
    said = re.findall(r"[a-z]+", carries.casefold())
    # By the beginning of words: "woodchips" is wood, "licorice" no rice.
    return next((one for one in COMBUSTIBLE if any(word.startswith(one) for word in said)), None)
