"""How soon an order must be done, from what is known when it is raised; pure.

A person may say otherwise, with a reason. Thresholds are engineering judgement, to be calibrated;
that grain and other combustible dust needs no more than a rubbing edge's heat is why it counts
(29 CFR 1910.272 on grain handling).
"""

import re
from dataclasses import dataclass
from enum import StrEnum


class Urgency(StrEnum):
    STOP_NOW = "stop_now"
    THIS_SHIFT = "this_shift"
    NEXT_OUTAGE = "next_outage"
    WATCH = "watch"


# Shares of the edge clearance used up: hard over, and no more than slight.
HARD_OVER_SHARE = 0.8
SLIGHT_SHARE = 0.4
# What gives off dust that a hot edge can set alight.
COMBUSTIBLE = (
    "barley", "biomass", "cereal", "coal", "coke", "corn", "flour", "grain", "lignite",
    "maize", "malt", "meal", "oats", "peat", "pellets", "rice", "seed", "soy", "starch",
    "sugar", "sulphur", "wheat", "wood",
)  # fmt: skip


@dataclass(frozen=True)
class Trouble:
    """What is known about the belt when an order is raised.

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
    """

    how_bad: frozenset[str]
    worst_offset_mm: float | None
    clearance_mm: float
    carries: str = ""


@dataclass(frozen=True)
class Judged:
    urgency: Urgency
    reasons: tuple[str, ...]


def judge_urgency(trouble: Trouble) -> Judged:
    """Choose one of the four urgencies and say why.

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
    if "stopped" in trouble.how_bad:
        return Judged(Urgency.STOP_NOW, ("The belt stands because of it; leave it stopped.",))
    share, sentence = _edge(trouble)
    if "rubbing" in trouble.how_bad or (share is not None and share >= 1):
        return _rubbing(trouble, sentence)
    if share is not None and share >= HARD_OVER_SHARE:
        return Judged(Urgency.THIS_SHIFT, (sentence,))
    if "spilling" in trouble.how_bad:
        spills = "It spills: what falls builds up on rolls and pulleys and pushes the belt further."
        return Judged(Urgency.NEXT_OUTAGE, (spills, sentence))
    if share is not None and share < SLIGHT_SHARE:
        return Judged(Urgency.WATCH, (sentence,))
    return Judged(Urgency.NEXT_OUTAGE, (sentence,))


def _edge(trouble: Trouble) -> tuple[float | None, str]:
    """Share of the clearance used up, and the sentence that says so."""
    if trouble.worst_offset_mm is None:
        return None, "Nobody has looked yet how far the edge is from the structure."
    worst_mm = abs(trouble.worst_offset_mm)
    left_mm = trouble.clearance_mm - worst_mm
    if left_mm <= 0:
        return worst_mm / trouble.clearance_mm, (
            f"The edge touches: {worst_mm:.0f} mm off with {trouble.clearance_mm:.0f} mm clearance."
        )
    return worst_mm / trouble.clearance_mm, (
        f"{left_mm:.0f} mm of {trouble.clearance_mm:.0f} mm edge clearance are left."
    )


def _rubbing(trouble: Trouble, sentence: str) -> Judged:
    rubs = "The belt rubs: edge and structure wear, and it heats."
    burning = _combustible_in(trouble.carries)
    if burning is None:
        return Judged(Urgency.THIS_SHIFT, (rubs, sentence))
    dust = f"It carries {trouble.carries}: dust of {burning} can catch fire at a rubbing edge."
    return Judged(Urgency.STOP_NOW, (rubs, dust, sentence))


def _combustible_in(carries: str) -> str | None:
    said = re.findall(r"[a-z]+", carries.casefold())
    # By the beginning of words: "woodchips" is wood, "licorice" no rice.
    return next((one for one in COMBUSTIBLE if any(word.startswith(one) for word in said)), None)
