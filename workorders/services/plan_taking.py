"""Taking a proposal, whole or in part, and putting it back.

Orders that changed since they were looked at are passed over and named, never overwritten; the
others go where the proposal puts them, all in one transaction. What the sheet then says against a
place is shown there as with any other move.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import Crew, OutageWindow, PlanRun, WorkOrder
from workorders.order_states import OrderState
from workorders.plan_result import CHANGES, Mark, Row
from workorders.planning.outages.minutes import instant_of
from workorders.planning.outages.plan import Placement
from workorders.services import moving, placing
from workorders.services.locking import lock_orders
from workorders.services.placing import Place

State = PlanRun.State


class NoProposal(DomainError):
    code = "no_proposal"


class NothingToTake(DomainError):
    code = "nothing_to_take"


class PlaceIsGone(DomainError):
    code = "place_is_gone"


@dataclass(frozen=True)
class PassedOver:
    order: str
    why: str


@dataclass(frozen=True)
class Outcome:
    """Which orders were placed, moved or taken off, and which were left as they are."""

    done: tuple[str, ...]
    passed_over: tuple[PassedOver, ...]


@transaction.atomic
def take(
    *, run_id: int, by: User | None, now: datetime, orders: Collection[str] | None = None
) -> Outcome:
    """Do what a proposal says, to `orders` only or to all; refuses with NoProposal, NothingToTake.

    With nothing done it stays a proposal.
    """
    run = _locked(run_id)
    if run.state != State.PROPOSED:
        raise NoProposal(_("This proposal was decided on already. Look at how it stands now."))
    rows = [row for row in changing_rows(run) if orders is None or row.order in orders]
    if not rows:
        raise NothingToTake(_("Nothing was chosen that this proposal would change."))
    taking = _Taking(run, by, now)
    # All at once: one by one they would be held crosswise to somebody who merges some of them.
    lock_orders({taking.key_of(row.order) for row in rows})
    passed_over = [*taking.unknown(rows)]
    taken = []
    for row in sorted(rows, key=lambda one: taking.key_of(one.order)):
        if row.order not in taking.orders:
            continue
        try:
            taken.append(taking.take(row))
        except DomainError as refusal:
            passed_over.append(PassedOver(row.order, str(refusal)))
    if taken:
        run.state, run.taken, run.taken_by, run.ended_at = State.TAKEN, taken, by, now
        run.save(update_fields=["state", "taken", "taken_by", "ended_at"])
    return Outcome(tuple(one["order"] for one in taken), tuple(passed_over))


@transaction.atomic
def put_back(*, run_id: int, by: User | None, now: datetime) -> Outcome:
    """Put every order a proposal moved back where it was; refuses with NoProposal.

    Those that somebody changed since are passed over and named.
    """
    run = _locked(run_id)
    if run.state != State.TAKEN:
        raise NoProposal(_("This proposal is not taken, so there is nothing to put back."))
    taking = _Taking(run, by, now)
    lock_orders({taking.key_of(one["order"]) for one in run.taken or ()})
    done, passed_over = [], []
    for one in run.taken or []:
        try:
            with transaction.atomic():
                taking.put_back(one)
            done.append(one["order"])
        except DomainError as refusal:
            passed_over.append(PassedOver(one["order"], str(refusal)))
    if done:
        run.state = State.PUT_BACK
        run.save(update_fields=["state"])
    return Outcome(tuple(done), tuple(passed_over))


def changing_rows(run: PlanRun) -> list[Row]:
    """What a proposal would change, in the order of its places."""
    rows = (Row.from_json(one) for one in (run.result or {}).get("rows", ()))
    return [row for row in rows if row.mark in CHANGES]


def _locked(run_id: int) -> PlanRun:
    return PlanRun.objects.select_for_update(no_key=True).get(pk=run_id)


class _Taking:
    """The orders, crews and windows of one plant, read once."""

    def __init__(self, run: PlanRun, by: User | None, now: datetime) -> None:
        self._by, self._now = by, now
        numbers = [one["order"] for one in run.taken or (run.result or {}).get("rows", ())]
        found = WorkOrder.objects.filter(number__in=numbers, conveyor__plant=run.plant_id)
        self.orders = {one.number: one for one in found}
        self._crews = {
            one.pk: one for one in Crew.objects.filter(plant=run.plant_id, retired_on=None)
        }
        self._windows = OutageWindow.objects.filter(plant=run.plant_id).in_bulk()
        self._why = _("Proposal of %(day)s taken.") % {
            "day": run.plant.day_of(run.asked_at).isoformat()
        }

    def key_of(self, number: str) -> int:
        order = self.orders.get(number)
        return order.pk if order else 0

    def unknown(self, rows: Iterable[Row]) -> Iterable[PassedOver]:
        for row in rows:
            if row.order not in self.orders:
                yield PassedOver(row.order, _("This order is no more."))

    def take(self, row: Row) -> dict[str, Any]:
        before = self._as_it_stands(self.orders[row.order])
        order_id = self.orders[row.order].pk
        if row.mark is Mark.OFF:
            after = placing.take_off(
                order_id=order_id, by=self._by, now=self._now, version=row.version, why=self._why
            )
        else:
            assert row.then is not None
            after = placing.place_order(
                order_id=order_id,
                place=self._place(row.then),
                by=self._by,
                now=self._now,
                version=row.version,
                why=self._why,
            )
        return {"order": row.order, "version": after.version, "before": before}

    def put_back(self, taken: dict[str, Any]) -> None:
        order = self.orders.get(taken["order"])
        if order is None:
            raise PlaceIsGone(_("This order is no more."))
        before, version = taken["before"], taken["version"]
        why = _("Proposal put back.")
        if before is None or before["crew"] is None:
            off = placing.take_off(
                order_id=order.pk, by=self._by, now=self._now, version=version, why=why
            )
            if before is not None:
                self._schedule(off, before)
            return
        starts_at, ends_at = (parse_datetime(before[name]) for name in ("from", "until"))
        assert starts_at is not None
        assert ends_at is not None
        placing.place_order(
            order_id=order.pk,
            place=self._place_of(before["window"], before["crew"], starts_at, ends_at),
            by=self._by,
            now=self._now,
            version=version,
            why=why,
        )

    def _schedule(self, order: WorkOrder, before: dict[str, Any]) -> None:
        """It had a time and no crew."""
        moving.move_order(
            order_id=order.pk,
            to_state=OrderState.SCHEDULED,
            by=self._by,
            now=self._now,
            planned_for=parse_datetime(before["from"]),
        )

    def _as_it_stands(self, order: WorkOrder) -> dict[str, Any] | None:
        if order.planned_for is None:
            return None
        until = order.planned_until
        return {
            "window": order.window_id,
            "crew": order.crew_id if until else None,
            "from": order.planned_for.isoformat(),
            "until": until.isoformat() if until else None,
        }

    def _place(self, then: Placement) -> Place:
        window = int(then.window) if then.window is not None else None
        starts_at, ends_at = instant_of(then.span.starts), instant_of(then.span.ends)
        return self._place_of(window, int(then.crew), starts_at, ends_at)

    def _place_of(
        self, window: int | None, crew: int, starts_at: datetime, ends_at: datetime
    ) -> Place:
        if crew not in self._crews:
            raise PlaceIsGone(_("Its crew is gone. Ask for another proposal."))
        if window is not None and window not in self._windows:
            raise PlaceIsGone(_("Its window is gone. Ask for another proposal."))
        there = self._windows[window] if window is not None else None
        return Place(self._crews[crew], there, starts_at, ends_at)
