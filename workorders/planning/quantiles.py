"""Quantiles of the normal distribution for two-sided levels.

From `scipy.special`, as importing `scipy.stats` takes longer than most answers.
"""

from scipy.special import ndtri, stdtrit


def check_level(level: float) -> None:
    """ValueError unless a two-sided confidence level lies between 0 and 1."""
    if not 0 < level < 1:
        raise ValueError(f"level must be between 0 and 1, got {level!r}")


def normal_quantile(level: float) -> float:
    """How many standard errors a two-sided interval of this level reaches to each side."""
    check_level(level)
    # The lower tail keeps its digits for levels next to 1.
    return -float(ndtri((1 - level) / 2))


def student_quantile(level: float, degrees_of_freedom: float) -> float:
    """As `normal_quantile`, where the standard error itself was estimated."""
    check_level(level)
    return -float(stdtrit(degrees_of_freedom, (1 - level) / 2))
