"""The states of a case and its legal moves; knows no table."""

from enum import StrEnum


class CaseState(StrEnum):
    OPEN = "open"
    LOOKED_AT = "being looked at"
    CAUSE_FOUND = "cause found"
    MENDED = "being mended"
    ON_PROOF = "on proof"
    CLOSED = "closed"
    NOT_MISTRACKING = "not mistracking"
    CANCELLED = "cancelled"


OPEN_STATES = frozenset(
    {
        CaseState.OPEN,
        CaseState.LOOKED_AT,
        CaseState.CAUSE_FOUND,
        CaseState.MENDED,
        CaseState.ON_PROOF,
    }
)
_ENDS = {CaseState.NOT_MISTRACKING, CaseState.CANCELLED}
MOVES: dict[CaseState, frozenset[CaseState]] = {
    CaseState.OPEN: frozenset({CaseState.LOOKED_AT, CaseState.CAUSE_FOUND} | _ENDS),
    CaseState.LOOKED_AT: frozenset({CaseState.CAUSE_FOUND} | _ENDS),
    CaseState.CAUSE_FOUND: frozenset({CaseState.LOOKED_AT, CaseState.MENDED} | _ENDS),
    CaseState.MENDED: frozenset({CaseState.ON_PROOF, CaseState.CAUSE_FOUND, CaseState.LOOKED_AT}),
    # Work reported done by mistake goes back in hand.
    CaseState.ON_PROOF: frozenset({CaseState.CLOSED, CaseState.LOOKED_AT, CaseState.MENDED}),
    # A case ended by mistake can be opened again; a closed one that comes back is a new case.
    CaseState.CLOSED: frozenset(),
    CaseState.NOT_MISTRACKING: frozenset({CaseState.LOOKED_AT}),
    CaseState.CANCELLED: frozenset({CaseState.OPEN}),
}

# Moves a person makes by a button on the case; the others follow from accepting a cause, from work
# and from its proof run.
BY_HAND: dict[CaseState, frozenset[CaseState]] = {
    CaseState.OPEN: frozenset(_ENDS),
    CaseState.LOOKED_AT: frozenset(_ENDS),
    CaseState.CAUSE_FOUND: frozenset(_ENDS),
    CaseState.NOT_MISTRACKING: MOVES[CaseState.NOT_MISTRACKING],
    CaseState.CANCELLED: MOVES[CaseState.CANCELLED],
}


def may_move(old: CaseState, new: CaseState) -> bool:
    return new in MOVES[old]
