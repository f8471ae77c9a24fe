"""How long to wait before a delivery is tried again, and when to stop trying by oneself."""

# Seconds after the first, second, ... failed try: quickly while it may be a hiccup, then seldom.
# Engineering judgement; together a little less than a day, so that a night without the receiver is
# bridged and somebody is told on the day after.
PAUSES_S = (5, 30, 120, 600, 1800, 3600, 7200, 14400, 21600, 36000)
MOST_TRIES = len(PAUSES_S) + 1
# A pause is this share of its length at least. Shortened, never lengthened: the sum stays a bound.
LEAST_SHARE = 0.8
# What a receiver may ask for with Retry-After, beyond the pause.
LONGEST_ASKED_S = 3600.0
# After so many tries in a row without an answer the whole target rests between tries.
TRIES_BEFORE_REST = 3
LONGEST_REST_S = 60.0


def pause_s(tries: int, chance: float, asked_s: float | None = None) -> float | None:
    """Seconds until the next try.

    Parameters
    ----------
    tries : int
        Failed tries so far, >= 1.
    chance : float
        Where between the shortest and the longest pause, 0 to 1; random, so that deliveries that
        failed together do not come back together.
    asked_s : float, optional
        What the receiver asked for (Retry-After). [s]

    Returns
    -------
    float or None
        None when it was tried often enough: somebody has to look. [s]

    Raises
    ------
    ValueError
        If there was no try, or chance is no share.
    """
    if tries < 1:
        raise ValueError(f"tries must be >= 1, got {tries!r}")
    if not 0 <= chance <= 1:
        raise ValueError(f"chance must be between 0 and 1, got {chance!r}")
    if tries >= MOST_TRIES:
        return None
    pause = PAUSES_S[tries - 1] * (LEAST_SHARE + (1 - LEAST_SHARE) * chance)
    return max(pause, min(asked_s or 0.0, LONGEST_ASKED_S))


def rest_s(failures_in_a_row: int, asked_s: float | None = None) -> float:
    """Seconds a whole target is left alone after failures that were not about one delivery.

    Who does not answer holds a connection for as long as we have patience; asked for each of a
    thousand deliveries, it would keep a worker busy with nothing else. [s]
    """
    asked = min(asked_s or 0.0, LONGEST_ASKED_S)
    if failures_in_a_row < TRIES_BEFORE_REST:
        return asked
    doubled = 5.0 * 2 ** min(failures_in_a_row - TRIES_BEFORE_REST, 10)
    return max(asked, min(doubled, LONGEST_REST_S))
