"""Which earlier case a case repeats, from its rows."""

from diagnostics.models import Case
from diagnostics.recurrence.repeats import PastCase, Window
from diagnostics.recurrence.repeats import repeated_case as decide
from plant.loop.parts import GeometryError
from plant.models import Plant
from plant.selectors.loops import loop_of


def repeated_case(case: Case) -> Case | None:
    """The case that this one, its cause being known, repeats by the plant's window."""
    others = Case.objects.filter(conveyor_id=case.conveyor_id, cause_class=case.cause_class)
    earlier = list(others.exclude(pk=case.pk).filter(proved_at__isnull=False))
    found = decide(_past(case), [_past(one) for one in earlier], _window(case))
    return next((one for one in earlier if found and one.pk == found.key), None)


def is_same_place(case: Case) -> bool | None:
    """Whether a case came back where it was; None while it is no repeat or a place is unknown."""
    if case.repeat_of is None:
        return None
    found = decide(_past(case), [_past(case.repeat_of)], _window(case))
    return found.is_same_place if found else None


def _window(case: Case) -> Window:
    plant: Plant = case.conveyor.plant
    return Window(plant.recurrence_window_days, plant.recurrence_distance_m, _loop_length_m(case))


def _past(case: Case) -> PastCase:
    return PastCase(case.pk, case.cause_class, case.opened_at, case.proved_at, case.position_m)


def _loop_length_m(case: Case) -> float | None:
    try:
        return loop_of(case.conveyor).length_m
    except GeometryError:
        return None
