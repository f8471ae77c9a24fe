"""An order from proposed to proved, or as far as its case is told."""

from datetime import datetime, time, timedelta
from typing import Any

from diagnostics.models import Case
from plant.roles import Role
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.services import doing, moving, proving, waiting
from workorders.services.demo_history.plot import Stands
from workorders.services.demo_history.proof_looks import looks_after
from workorders.services.demo_history.scene import CaseScene, Scene, Story

OUTAGES_BEGIN = time(6, 30)


def order_of(case: Case) -> WorkOrder:
    """The order raised last for this case."""
    return case.work_orders.order_by("pk").reverse()[0]


def decline(scene: Scene, order: WorkOrder) -> None:
    _move(scene, order, OrderState.DECLINED, Role.PLANNER, why=scene.note("declined"))


def mend(scene: Scene, order: WorkOrder, stands: Stands | None) -> Story:
    """Plan it, do it, report it done; stops early where the case still stands."""
    if stands is Stands.PROPOSED:
        return
    yield scene.clock.later(2, 40, by_day=True)
    _move(scene, order, OrderState.APPROVED, Role.PLANNER, why=scene.note("approved"))
    if stands is Stands.APPROVED:
        return
    yield scene.clock.later(2, 30, by_day=True)
    yield from _schedule(scene, order, stands)
    if stands in {Stands.SCHEDULED, Stands.WAITING}:
        return
    yield scene.clock.later(12, 160, by_day=True)
    yield from _work(scene, order, stands)


def _schedule(scene: Scene, order: WorkOrder, stands: Stands | None) -> Story:
    if stands is Stands.WAITING:
        _wait(scene, order, Waiting.PARTS)
        return
    if scene.chance(0.15):
        _wait(scene, order, list(Waiting)[int(scene.rng.integers(len(Waiting)))])
        yield scene.clock.later(20, 90, by_day=True)
        waiting.stop_waiting(order_id=order.pk, by=scene.somebody(Role.PLANNER), now=scene.now)
    # Still to come for a case that goes on; about when it was then done for one that is over.
    is_to_come = stands is Stands.SCHEDULED
    planned_for = (
        _outage(scene, scene.clock.deadline, 4) if is_to_come else _outage(scene, scene.now, 1)
    )
    _move(scene, order, OrderState.SCHEDULED, Role.PLANNER, planned_for=planned_for)
    if stands is None and scene.chance(0.12):
        yield scene.clock.later(4, 30, by_day=True)
        _move(scene, order, OrderState.APPROVED, Role.PLANNER, why=scene.note("moved_back"))
        yield scene.clock.later(4, 50, by_day=True)
        planned_for = _outage(scene, scene.now, 2)
        _move(scene, order, OrderState.SCHEDULED, Role.PLANNER, planned_for=planned_for)


def _outage(scene: Scene, after: datetime, days: int) -> datetime:
    """The morning so many days later, when the belt is free."""
    day = after.astimezone(scene.clock.zone).date() + timedelta(days=days)
    return datetime.combine(day, OUTAGES_BEGIN, tzinfo=scene.clock.zone)


def _work(scene: Scene, order: WorkOrder, stands: Stands | None) -> Story:
    hands = scene.somebody(Role.TECHNICIAN)
    moving.move_order(order_id=order.pk, to_state=OrderState.IN_HAND, by=hands, now=scene.now)
    steps = list(order.steps.all())
    ticked = steps[: len(steps) // 2] if stands is Stands.IN_HAND else steps
    for step in ticked:
        yield scene.clock.later(0.1, 1.2)
        doing.tick_step(order_id=order.pk, place=step.place, by=hands, now=scene.now)
    if stands is Stands.IN_HAND:
        return
    note = scene.note("done")
    if note:
        doing.add_note(order_id=order.pk, words=note, by=hands, now=scene.now)
    yield scene.clock.later(0.1, 0.6)
    moving.move_order(order_id=order.pk, to_state=OrderState.DONE, by=hands, now=scene.now)


def prove(scene: Scene, order: WorkOrder, *, passed: bool) -> None:
    proving.record_proof_run(
        order_id=order.pk,
        passed=passed,
        note=scene.note("proved" if passed else "failed"),
        revolutions_empty=int(scene.rng.integers(3, 6)),
        revolutions_loaded=int(scene.rng.integers(3, 7)),
        looks=looks_after(scene, order, passed=passed) if isinstance(scene, CaseScene) else (),
        by=scene.somebody(Role.TECHNICIAN if scene.chance(0.6) else Role.LEAD),
        now=scene.now,
    )


def _wait(scene: Scene, order: WorkOrder, what: Waiting) -> None:
    waiting.start_waiting(
        order_id=order.pk,
        waiting_for=what,
        why=scene.note(f"waiting_for_{what.value}"),
        by=scene.somebody(Role.PLANNER),
        now=scene.now,
    )


def _move(scene: Scene, order: WorkOrder, to_state: OrderState, role: Role, **more: Any) -> None:
    moving.move_order(
        order_id=order.pk, to_state=to_state, by=scene.somebody(role), now=scene.now, **more
    )
