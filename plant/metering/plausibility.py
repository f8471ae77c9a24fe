"""What a meter cannot have shown: a code; the words stand where a language is known."""

from enum import StrEnum

from plant.metering.readings import MeterQuantity, Reading, WentOn, hours_between, rise

# Most hour meters show whole hours and people write whole minutes: a difference of two readings
# can be an hour too large; engineering judgement.
ROUNDING_H = 1.0


class Fault(StrEnum):
    BACKWARDS = "backwards"
    NOTHING_BEFORE = "nothing_before"
    NOT_ROLLED_OVER = "not_rolled_over"
    BEYOND_DIGITS = "beyond_digits"
    MORE_THAN_THE_CLOCK = "more_than_the_clock"


class ImplausibleReading(ValueError):
    """`reading` does not follow on `before`; `limit` is the figure it breaks [h or t]."""

    def __init__(
        self, fault: Fault, reading: Reading, before: Reading | None, limit: float | None = None
    ) -> None:
        super().__init__(fault.value)
        self.fault = fault
        self.reading = reading
        self.before = before
        self.limit = limit


def check_step(quantity: MeterQuantity, before: Reading | None, reading: Reading) -> None:
    """Check that a reading can follow the one before it.

    Raises
    ------
    ImplausibleReading
        The meter would have gone backwards without a reason, shown more than its digits allow, or
        counted more running hours than the clock had.
    """
    if before is None:
        if reading.went_on is WentOn.ROLLED_OVER:
            raise ImplausibleReading(Fault.NOTHING_BEFORE, reading, None)
        return
    if reading.went_on is WentOn.ROLLED_OVER:
        _check_roll_over(before, reading)
    more = rise(before, reading)
    if more is None:
        return
    if more < 0:
        raise ImplausibleReading(Fault.BACKWARDS, reading, before, before.goes_on_from)
    elapsed_h = hours_between(before.at, reading.at)
    if quantity is MeterQuantity.RUNNING_HOURS and more > elapsed_h + ROUNDING_H:
        raise ImplausibleReading(Fault.MORE_THAN_THE_CLOCK, reading, before, elapsed_h)


def _check_roll_over(before: Reading, reading: Reading) -> None:
    if reading.digits is None or reading.figure is None:
        raise ValueError("a meter that rolled over has digits and a figure")
    if reading.figure >= before.goes_on_from:
        raise ImplausibleReading(Fault.NOT_ROLLED_OVER, reading, before, before.goes_on_from)
    # The figure after is smaller, so that only the one before can be too large for the meter.
    if before.goes_on_from >= 10**reading.digits:
        raise ImplausibleReading(Fault.BEYOND_DIGITS, reading, before, before.goes_on_from)
