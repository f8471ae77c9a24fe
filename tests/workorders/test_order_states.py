"""The state machine of an order, pair by pair."""

from itertools import product

import pytest

from plant.roles import ROLE_PERMISSIONS, Role
from workorders import duties
from workorders.order_states import (
    MOVES,
    OPEN_STATES,
    SET_ASIDE_STATES,
    Duty,
    OrderState,
    duty_of,
    is_back,
    may_move,
    needs_why,
)
from workorders.order_words import BACK_WORDS, MOVE_WORDS, STATE_WORDS

# Every legal move, whose business it is, and whether it must say why: written out by hand.
LEGAL = {
    ("proposed", "approved"): ("plan", False),
    ("proposed", "declined"): ("plan", True),
    ("proposed", "cancelled"): ("plan", True),
    ("approved", "scheduled"): ("plan", False),
    ("approved", "in_hand"): ("do", False),
    ("approved", "proposed"): ("plan", True),
    ("approved", "cancelled"): ("plan", True),
    ("scheduled", "in_hand"): ("do", False),
    ("scheduled", "approved"): ("plan", True),
    ("scheduled", "cancelled"): ("plan", True),
    ("in_hand", "done"): ("do", False),
    ("in_hand", "scheduled"): ("plan", True),
    ("in_hand", "approved"): ("plan", True),
    ("in_hand", "cancelled"): ("plan", True),
    ("done", "proved"): ("prove", False),
    ("done", "in_hand"): ("plan", True),
    ("declined", "proposed"): ("plan", True),
    ("cancelled", "proposed"): ("plan", True),
}
PAIRS = list(product(OrderState, OrderState))


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_exactly_the_written_moves_are_legal(old: OrderState, new: OrderState) -> None:
    assert may_move(old, new) == ((old.value, new.value) in LEGAL)


@pytest.mark.parametrize(("pair", "expected"), LEGAL.items())
def test_each_move_is_somebodys_duty_and_back_moves_say_why(
    pair: tuple[str, str], expected: tuple[str, bool]
) -> None:
    old, new = OrderState(pair[0]), OrderState(pair[1])

    assert (duty_of(old, new).value, needs_why(old, new)) == expected


def test_every_state_is_named_in_the_table_of_moves() -> None:
    assert set(MOVES) == set(OrderState) == set(STATE_WORDS)


def test_every_state_is_reached_from_proposed() -> None:
    reached, ahead = set(), [OrderState.PROPOSED]
    while ahead:
        state = ahead.pop()
        if state not in reached:
            reached.add(state)
            ahead.extend(MOVES[state])

    assert reached == set(OrderState)


def test_only_a_proved_order_stays_for_good() -> None:
    assert [state for state in OrderState if not MOVES[state]] == [OrderState.PROVED]


def test_open_states_end_before_done() -> None:
    assert {OrderState.DONE, OrderState.PROVED} | SET_ASIDE_STATES == set(OrderState) - OPEN_STATES


@pytest.mark.parametrize(("old", "new"), [pair for pair in PAIRS if may_move(*pair)])
def test_every_move_but_proving_has_a_button(old: OrderState, new: OrderState) -> None:
    words = BACK_WORDS if is_back(old, new) else MOVE_WORDS

    assert new is OrderState.PROVED or words[new]


@pytest.mark.parametrize(
    ("role", "duties_of_role"),
    [
        (Role.CLERK, set()),
        (Role.TECHNICIAN, {Duty.DO, Duty.PROVE}),
        (Role.PLANNER, {Duty.PLAN, Duty.DO}),
        (Role.LEAD, set(Duty)),
        (Role.ADMINISTRATOR, set(Duty)),
    ],
)
def test_each_role_has_its_duties(role: Role, duties_of_role: set[Duty]) -> None:
    permitted = ROLE_PERMISSIONS[role]

    assert {duty for duty in Duty if duties.PERMISSIONS[duty] in permitted} == duties_of_role
