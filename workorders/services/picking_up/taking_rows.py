"""One row of a status file: done by the very services that pages and the API call, or refused.

A row is a transaction of its own, with the note that it was taken in it: killed anywhere, it was
either taken and says so, or nothing of it was.
"""

import logging
import uuid
from dataclasses import dataclass, field
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone

from plant import acting
from plant.errors import DomainError
from plant.models import ExchangeSetting, WordingGap
from plant.selectors import wordings
from plant.services import wording_gaps
from plant.wording.refusals import Missed, WordRefused
from plant.wording_words import refusal_words
from workorders import status_words
from workorders.models import StatusFile, StatusRow, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import booked_time
from workorders.services import booking_time, changing, doing
from workorders.services.booking_time import BOOKABLE_STATES, Spent, Worker
from workorders.services.changing import MoveAsked, OrderAsked
from workorders.services.locking import lock_order
from workorders.services.replanning import OrderFigures
from workorders.status_files import saying
from workorders.status_files.refusals import Reason, RowRefused
from workorders.status_files.saying import Said
from workorders.status_files.tables import RawRow

logger = logging.getLogger(__name__)

Outcome = StatusRow.Outcome
KIND = "work_order"
_WHY_LENGTH = 600


@dataclass
class _Answer:
    """What becomes of a row; filled in on the way."""

    identity: str
    outcome: Outcome = Outcome.TAKEN
    order: WorkOrder | None = None
    named: str = ""
    code: str = ""
    why: str = ""


@dataclass
class RowTaking:
    """The rows of one file, one after the other."""

    file: StatusFile
    setting: ExchangeSetting
    missed: set[Missed] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._wording = wordings.wording_of(self.setting.system)

    def our_names(self, names: set[str]) -> set[str]:
        """What we call the columns; those that only go out say nothing here."""
        plain = {self._plain(name) for name in names}
        if self._wording is None:
            return plain
        fields = self._wording.fields.get(KIND)
        added = {*fields.constants, *fields.copies} if fields else set()
        return {self._wording.name_to_ours(KIND, name) for name in plain - added}

    def _plain(self, name: str) -> str:
        """Our own columns are known in any letters; the system's are as it writes them."""
        fields = self._wording.fields.get(KIND) if self._wording else None
        is_theirs = fields is not None and name in fields.renamed.values()
        return name.casefold() if name.casefold() in saying.COLUMNS and not is_theirs else name

    def take(self, row: RawRow) -> StatusRow:
        """Done or refused, it ends as a kept answer; nothing a row says stops the file."""
        answer = _Answer(f"{self.file.digest}:{row.number}")
        try:
            return self._take(row, answer)
        except RowRefused as refused:
            answer.code, answer.why = refused.reason.code, status_words.row_words(refused.reason)
        except WordRefused as refused:
            self.missed.add(Missed(refused.part, refused.word))
            answer.code, answer.why = refused.why.value, refusal_words(refused)
        except DomainError as refused:
            answer.code, answer.why = refused.code, str(refused)
        except Exception:
            logger.exception("Row %s of status file %s failed.", row.number, self.file.pk)
            answer.code, answer.why = "failed", status_words.row_words(Reason("failed"))
        answer.outcome = Outcome.REFUSED
        return self._keep(row, answer)

    def note_missed(self) -> None:
        if self.missed and self.setting.system is not None:
            wording_gaps.note_gaps(
                system=self.setting.system,
                way=WordingGap.Way.IN,
                missed=self.missed,
                now=timezone.now(),
            )

    def _take(self, row: RawRow, answer: _Answer) -> StatusRow:
        if row.refused is not None:
            raise row.refused
        cells = self._in_our_words(row)
        # Told in the report whatever comes of the row.
        answer.named = cells.get(saying.NUMBER) or cells.get(saying.EXTERNAL) or ""
        said = saying.said_by(cells, self.setting.plant.zone_info)
        if said.id:
            answer.identity = f"id:{said.id}"
        before = self._taken_before(answer)
        if before is not None:
            return self._as_before(row, answer, before)
        try:
            with transaction.atomic(), acting.by_files(self.setting):
                answer.order = self._order(said)
                if not self._do(answer.order, said, answer.identity, timezone.now()):
                    answer.outcome = Outcome.ALREADY
                    answer.why = status_words.row_words(Reason("as_it_stands"))
                return self._keep(row, answer)
        except IntegrityError:
            # Another worker, thought gone, took the row after all.
            before = self._taken_before(answer)
            if before is None:
                raise
            return self._as_before(row, answer, before)

    def _in_our_words(self, row: RawRow) -> dict[str, str]:
        cells = {self._plain(name): cell for name, cell in row.cells.items()}
        if self._wording is None:
            return cells
        read: dict[str, str] = self._wording.to_ours(KIND, cells, self.missed)
        return read

    def _taken_before(self, answer: _Answer) -> StatusRow | None:
        rows = StatusRow.objects.taken().filter(setting=self.setting, identity=answer.identity)
        return rows.select_related("file", "order").first()

    def _as_before(self, row: RawRow, answer: _Answer, before: StatusRow) -> StatusRow:
        answer.outcome, answer.order = Outcome.ALREADY, before.order
        values = {"file": before.file.name, "row": str(before.row_number)}
        answer.why = status_words.row_words(Reason("taken_before", "", values))
        return self._keep(row, answer)

    def _keep(self, row: RawRow, answer: _Answer) -> StatusRow:
        return StatusRow.objects.create(
            file=self.file,
            setting=self.setting,
            row_number=row.number,
            identity=answer.identity,
            outcome=answer.outcome,
            order=answer.order,
            order_named=answer.named[:80],
            code=answer.code,
            why=answer.why[:_WHY_LENGTH],
        )

    def _order(self, said: Said) -> WorkOrder:
        """Of this plant alone; another's is none."""
        orders = WorkOrder.objects.filter(conveyor__plant=self.setting.plant)
        if said.number:
            found = orders.filter(number=said.number).first()
            if found is None:
                raise RowRefused("no_such_order", saying.NUMBER, value=said.number)
            if said.external_number not in {"", found.external_number}:
                told = {"number": found.number, "value": found.external_number or "–"}
                raise RowRefused("numbers_disagree", saying.EXTERNAL, **told)
            return found
        several = list(orders.filter(external_number=said.external_number)[:2])
        if len(several) != 1:
            code = "several_orders" if several else "no_such_order"
            raise RowRefused(code, saying.EXTERNAL, value=said.external_number)
        return several[0]

    def _do(self, order: WorkOrder, said: Said, identity: str, now: datetime) -> bool:
        """Whether anything was to be done; time is booked while the order's state allows it."""
        order = lock_order(order.pk, version=said.version)
        books_first = OrderState(order.state) in BOOKABLE_STATES
        asked = _asked(order, said)
        if said.hours is not None and books_first:
            self._book(order, said, identity, now)
        if asked is not None:
            changing.change_order(order_id=order.pk, asked=asked, by=None, now=now)
        if said.hours is not None and not books_first:
            self._book(order, said, identity, now)
        if said.note:
            doing.add_note(order_id=order.pk, words=said.note, by=None, now=now)
        return asked is not None or said.hours is not None or bool(said.note)

    def _book(self, order: WorkOrder, said: Said, identity: str, now: datetime) -> None:
        today = self.setting.plant.day_of(now)
        booking_time.book_time(
            order_id=order.pk,
            workers=[self._worker(order, said)],
            spent=Spent(day=said.day or today, hours=said.hours),
            # Other rows book other time, though they say the same.
            sent_as=uuid.uuid5(_BOOKINGS, f"{self.setting.pk}:{identity}"),
            by=None,
            now=now,
        )

    def _worker(self, order: WorkOrder, said: Said) -> Worker:
        """Whoever signs in so here, else by name; nobody named: the system itself."""
        if "@" in said.worker:
            person = booked_time.hands_of(order).filter(username__iexact=said.worker).first()
            if person is not None:
                return Worker(user=person)
        return Worker(name=said.worker or self.setting.name)


# Any fixed name space of our own.
_BOOKINGS = uuid.UUID("6d4f1b1e-6a0e-5c55-9a5e-3f0c3a1f2b77")


def _asked(order: WorkOrder, said: Said) -> OrderAsked | None:
    """What of it is not so already."""
    figures = OrderFigures()
    if said.set_external_number not in {"", order.external_number}:
        figures["external_number"] = said.set_external_number
    move = None
    if said.state is not None and said.state != order.state:
        move = MoveAsked(said.state, said.why, said.planned_for)
    if not figures and move is None:
        return None
    return OrderAsked(figures=figures, move=move)
