"""A conveyor's rows as the pure loop, and what its register still asks."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from plant.loop.parts import GeometryError
from plant.loop.path import Loop, build_loop
from plant.loop.questions import RegisterFigures, questions_about
from plant.loop.vocabulary import TakeUpKind
from plant.loop.zones import zone_at
from plant.models import Belt, Component, Conveyor


@dataclass(frozen=True)
class RegisterState:
    """What stands in the register of one conveyor: a loop, or what is missing for one."""

    loop: Loop | None
    missing: str
    questions: tuple[str, ...]

    @property
    def first_question(self) -> str:
        return self.missing or next(iter(self.questions), "")


def fitted_belt(conveyor: Conveyor) -> Belt | None:
    """The belt that is on now, with its splices."""
    return conveyor.belts.filter(removed_on__isnull=True).prefetch_related("splices").first()


def loop_of(conveyor: Conveyor, *, belt: Belt | None = None) -> Loop:
    """Build the loop from the register; raises GeometryError while it is not complete."""
    return _loop(conveyor.components.all(), belt)


def register_state(conveyor: Conveyor, belt: Belt | None) -> RegisterState:
    """The loop and its questions, or why there is none yet."""
    return state_of_rows(conveyor, conveyor.components.all(), belt)


def state_of_rows(
    conveyor: Conveyor, components: Iterable[Component], belt: Belt | None
) -> RegisterState:
    """The same of rows that need not be those of the register as it stands."""
    try:
        loop = _loop(components, belt)
    except GeometryError as error:
        return RegisterState(None, str(error), ())
    figures = RegisterFigures(
        centre_distance_m=conveyor.centre_distance_m,
        take_up=TakeUpKind(conveyor.take_up_kind),
        has_belt=belt is not None,
        lift_m=conveyor.lift_m,
    )
    return RegisterState(loop, "", questions_about(loop, figures))


def with_register(conveyors: QuerySet[Conveyor]) -> QuerySet[Conveyor]:
    """Conveyors with plant, components and fitted belt, in three queries however many there are."""
    fitted = Belt.objects.filter(removed_on__isnull=True)
    return conveyors.select_related("plant").prefetch_related(
        "components", Prefetch("belts", queryset=fitted, to_attr="fitted_belts")
    )


def state_of_loaded(conveyor: Conveyor) -> RegisterState:
    """The state of a conveyor that came from `with_register`; asks the database nothing."""
    belts: list[Belt] = getattr(conveyor, "fitted_belts", [])
    return register_state(conveyor, belts[0] if belts else None)


def _loop(components: Iterable[Component], belt: Belt | None) -> Loop:
    parts = [component.as_part() for component in components]
    return build_loop(parts, belt_length_m=belt.length_m if belt else None)


def zone_of(component: Component) -> str:
    """The zone a component stands in; empty for a group in several and without a loop."""
    try:
        loop = loop_of(component.conveyor)
    except GeometryError:
        return ""
    first, last = (zone_at(loop, float(at)) for at in (component.first_m, component.last_m))
    return first.value if first is last else ""
