"""What the state of a case must be, given the work orders raised for it; pure.

A case has one order for each accepted cause. It is being mended while any is under way, on proof
once all are done, closed once all are proved. Work that was only suggested, by a rule or by what a
close look found, counts from the moment somebody approves it.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.case_states import MOVES, CaseState
from workorders.order_states import SET_ASIDE_STATES, OrderState

# States that work leads a case through; into any other a person puts it.
_LED_BY_WORK = frozenset(
    {
        CaseState.OPEN,
        CaseState.LOOKED_AT,
        CaseState.CAUSE_FOUND,
        CaseState.MENDED,
        CaseState.ON_PROOF,
        CaseState.CLOSED,
    }
)


@dataclass(frozen=True)
class OrderStanding:
    """An order as the case sees it; a done order whose proof failed counts no more."""

    state: OrderState
    proof_failed: bool = False
    is_suggestion: bool = False

    @property
    def counts(self) -> bool:
        if self.state in SET_ASIDE_STATES or self.proof_failed:
            return False
        return not (self.is_suggestion and self.state is OrderState.PROPOSED)


def case_state_wanted(
    case: CaseState, orders: Iterable[OrderStanding], *, has_cause: bool = True
) -> CaseState:
    """The state the case belongs in, its own when work has no say.

    Parameters
    ----------
    case : CaseState
        Where the case is now.
    orders : iterable of OrderStanding
        All orders of the case.
    has_cause : bool
        Whether a person stands by a cause of the case.
    """
    states = {order.state for order in orders if order.counts}
    if case not in _LED_BY_WORK or case is CaseState.CLOSED:
        return case
    if not states and not has_cause:
        led = {CaseState.CAUSE_FOUND, CaseState.MENDED}
        return CaseState.LOOKED_AT if case in led else case
    if not states:
        return CaseState.CAUSE_FOUND if case is CaseState.MENDED else case
    if states == {OrderState.PROPOSED}:
        return CaseState.CAUSE_FOUND
    if states == {OrderState.PROVED}:
        return CaseState.CLOSED
    if states <= {OrderState.DONE, OrderState.PROVED}:
        return CaseState.ON_PROOF
    return CaseState.MENDED


def way_to(case: CaseState, wanted: CaseState) -> tuple[CaseState, ...]:
    """The legal moves that lead from one state to another, shortest first; empty when at it.

    Raises
    ------
    ValueError
        No legal way leads there.
    """
    ways: list[tuple[CaseState, ...]] = [()]
    reached = {case}
    while ways:
        way = ways.pop(0)
        at = way[-1] if way else case
        if at is wanted:
            return way
        for following in sorted((MOVES[at] & _LED_BY_WORK) - reached):
            reached.add(following)
            ways.append((*way, following))
    raise ValueError(f"no legal way leads a case from {case} to {wanted}")
