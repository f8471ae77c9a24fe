"""Whole minutes since 1970-01-01 UTC: the one measure of time that plans count in."""

from datetime import UTC, datetime, timedelta

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)


def minute_of(at: datetime) -> int:
    """The minute an instant lies in.

    Parameters
    ----------
    at : datetime
        Aware, of any zone; seconds are cut off.

    Returns
    -------
    int
        [min since 1970-01-01 UTC]

    Raises
    ------
    ValueError
        If the instant says no zone: two people would read it differently.
    """
    if at.tzinfo is None:
        raise ValueError(f"at must be aware of its zone, got {at!r}")
    return (at - _EPOCH) // _MINUTE


def instant_of(minute: int) -> datetime:
    """The beginning of a minute, in UTC; the inverse of `minute_of`."""
    return _EPOCH + minute * _MINUTE
