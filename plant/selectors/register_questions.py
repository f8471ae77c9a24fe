"""Conveyors whose register is not complete or asks something, for whoever keeps it."""

from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from plant.loop.parts import GeometryError
from plant.loop.path import build_loop
from plant.models import Belt, Conveyor


@dataclass(frozen=True)
class RegisterQuestion:
    conveyor: Conveyor
    text: str


def questions_of(conveyors: QuerySet[Conveyor]) -> list[RegisterQuestion]:
    """One question a conveyor, the first that hinders; three queries however many there are."""
    fitted = Belt.objects.filter(removed_on__isnull=True)
    rows = conveyors.select_related("plant").prefetch_related(
        "components", Prefetch("belts", queryset=fitted, to_attr="fitted_belts")
    )
    asked = ((conveyor, _first_question(conveyor)) for conveyor in rows)
    return [RegisterQuestion(conveyor, text) for conveyor, text in asked if text]


def _first_question(conveyor: Conveyor) -> str:
    belts: list[Belt] = getattr(conveyor, "fitted_belts", [])
    parts = [component.as_part() for component in conveyor.components.all()]
    try:
        loop = build_loop(parts, belt_length_m=belts[0].length_m if belts else None)
    except GeometryError as error:
        return str(error)
    return next(iter(loop.questions), "")
