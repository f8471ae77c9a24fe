"""Whether one version named the truth more often than another on the same cases."""

from scipy.special import bdtr


def by_chance(gained: int, lost: int) -> float:
    """How often chance alone would tip the balance at least so far, either way.

    Of two versions on the same cases only those speak that one has right and the other wrong;
    the intervals of both hit rates, each for itself, say too little of their difference.

    Parameters
    ----------
    gained, lost : int
        Cases that became right, and that became wrong, >= 0.

    Returns
    -------
    float
        Two-sided probability, 0 to 1; 1 where no case changed.

    Raises
    ------
    ValueError
        If a count is negative.

    Notes
    -----
    ``min(1, 2 P(X <= min(gained, lost)))`` with X binomial of gained + lost draws at 1/2: the
    exact form of McNemar's test.

    References
    ----------
    Q. McNemar, "Note on the sampling error of the difference between correlated proportions or
    percentages", Psychometrika 12 (1947), 153-157.
    """
    if gained < 0 or lost < 0:
        raise ValueError(f"gained and lost must be >= 0, not {gained} and {lost}")
    return min(1.0, 2 * float(bdtr(min(gained, lost), gained + lost, 0.5)))
