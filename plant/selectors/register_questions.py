"""Conveyors whose register is not complete or asks something, for whoever keeps it."""

from dataclasses import dataclass

from django.db.models import QuerySet

from plant.models import Conveyor
from plant.selectors import loops


@dataclass(frozen=True)
class RegisterQuestion:
    conveyor: Conveyor
    text: str


def questions_of(conveyors: QuerySet[Conveyor]) -> list[RegisterQuestion]:
    """One question a conveyor, the first that hinders; three queries however many there are."""
    asked = (
        (conveyor, loops.state_of_loaded(conveyor).first_question)
        for conveyor in loops.with_register(conveyors)
    )
    return [RegisterQuestion(conveyor, text) for conveyor, text in asked if text]
