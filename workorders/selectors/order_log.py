"""Everything that happened to one order, as one dated log."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.models import User
from workorders import shift_words
from workorders.models import OrderChange, OrderMove, OrderNote, ProofRun, ShiftMade, WorkOrder
from workorders.order_states import OrderState
from workorders.order_words import STATE_WORDS
from workorders.selectors import order_change_words


@dataclass(frozen=True)
class LogLine:
    """`words` says what happened, `why` is the person's own; `moment` a time the line speaks of."""

    at: datetime
    by: User | str | None
    words: str
    why: str = ""
    moment: datetime | None = None
    note: OrderNote | None = None


def log_of(order: WorkOrder) -> list[LogLine]:
    """Oldest first; five queries."""
    lines = [
        # First, since a run and the move it made have the same instant.
        *(_proof(one) for one in order.proof_runs.select_related("by")),
        *(_move(one) for one in order.moves.select_related("by")),
        *(_change(one) for one in order.changes.select_related("by")),
        *(_note(one) for one in order.notes.select_related("by")),
        *(_shift(one, order) for one in order.shifts_made.filter(taken_back_at__isnull=True)),
    ]
    return sorted(lines, key=lambda line: line.at)


def _move(move: OrderMove) -> LogLine:
    state = STATE_WORDS[OrderState(move.to_state)]
    return LogLine(move.at, move.who, str(state), move.why, moment=move.planned_for)


def _note(note: OrderNote) -> LogLine:
    return LogLine(note.at, note.who, _("note"), note.words, note=note)


def _proof(run: ProofRun) -> LogLine:
    verdict = _("proof run passed") if run.passed else _("proof run failed")
    watched = _("%(empty)s empty, %(loaded)s loaded") % {
        "empty": _turns(run.revolutions_empty),
        "loaded": _turns(run.revolutions_loaded),
    }
    return LogLine(run.at, run.by, f"{verdict}: {watched}", run.note)


def _shift(shift: ShiftMade, order: WorkOrder) -> LogLine:
    words = _("shifted: %(thing)s, %(how)s") % {
        "thing": shift_words.thing_words(shift.station, shift.moved),
        "how": shift_words.how_words(shift.end, shift.way, shift.moved_mm, order.conveyor),
    }
    return LogLine(shift.made_at, shift.made_by or None, words, shift.note)


def _turns(number: int) -> str:
    return ngettext("%(number)d turn", "%(number)d turns", number) % {"number": number}


def _change(change: OrderChange) -> LogLine:
    moment = None
    if change.kind == OrderChange.Kind.PLANNED_FOR:
        moment = parse_datetime(change.after)
    return LogLine(
        change.at, change.who, order_change_words.words_of(change), change.why, moment=moment
    )
