"""When two people's looks at one station plainly cannot both be right.

Two pairs of eyes differ by a degree; that is no conflict. Centred against half over, or off to
either side, is one: the belt moved meanwhile, or one of them mistook the place or the side.
"""

# Offsets further apart than this are asked about: more than from one degree to the next, which
# is at most 0.325 of the clearance; engineering judgement.
_PLAINLY_APART = 0.4


def plainly_differ(one_mm: float, other_mm: float, clearance_mm: float) -> bool:
    """Whether two offsets of one place and load state contradict each other.

    Parameters
    ----------
    one_mm, other_mm : float
        Readings or middles of the noted degrees, positive right. [mm]
    clearance_mm : float
        Edge clearance, > 0. [mm]
    """
    return abs(one_mm - other_mm) > _PLAINLY_APART * clearance_mm
