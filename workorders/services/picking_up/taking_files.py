"""One status file: read, taken row by row, put away with its report beside it.

A file that was begun and not ended, because its worker died, is gone on with at its next row. How
it ends is written down before it is moved, so that a move that happened is known as one.
"""

import hashlib
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from plant.models import ExchangeSetting
from plant.services.claiming import MOST_BEGINNINGS
from plant.services.exchange import folders
from plant.services.exchange.folders import Found
from workorders.models import StatusFile, StatusRow
from workorders.services.picking_up import reporting
from workorders.services.picking_up.taking_rows import RowTaking
from workorders.status_files import saying, tables
from workorders.status_files.refusals import FileRefused

logger = logging.getLogger(__name__)

State = StatusFile.State
# Of the 255 bytes that file systems give a name; the rest is for a number, the report's ending and
# what stands around a name while it is written aside.
_LONGEST_NAME_BYTES = 200


@dataclass(frozen=True)
class Place:
    """The open folders of a setting, and how to hear whether the work is still wanted."""

    setting: ExchangeSetting
    incoming: int
    done: int
    refused: int
    wanted: Callable[[], bool]


@dataclass(frozen=True)
class Read:
    """A file as it was found, and what it held."""

    found: Found
    content: bytes


def take_file(place: Place, found: Found, content: bytes) -> StatusFile:
    """Take all rows of a file that was not taken yet, or go on with it."""
    file = _begun(place, found, content)
    read = Read(found, content)
    if file.ends_as:
        # It had ended, and could not be put away.
        _end(place, file, read, State(file.ends_as), file.refusal, file.values)
        return file
    if file.times_begun > MOST_BEGINNINGS:
        _end(place, file, read, State.REFUSED, "begun_too_often")
        return file
    try:
        is_whole = _take_rows(place, file, content)
    except FileRefused as refused:
        _end(place, file, read, State.REFUSED, refused.reason.code, refused.reason.values)
    else:
        if is_whole:
            _end(place, file, read, State.DONE)
        else:
            _end(place, file, read, State.STOPPED, "stopped")
    return file


def refuse_link(place: Place, found: Found) -> StatusFile:
    """What is no file of its own is put away unread."""
    file = _begun(place, found, b"")
    _end(place, file, Read(found, b""), State.REFUSED, "is_link")
    return file


def _begun(place: Place, found: Found, content: bytes) -> StatusFile:
    digest = hashlib.sha256(content).hexdigest()
    named = StatusFile.objects.filter(
        setting=place.setting, name=found.name, state=State.TAKING
    ).first()
    if named is not None and named.digest != digest:
        # Another file came under its name before it was read to its end.
        _mark_moved_or_gone(place, named)
        named = None
    file = named or StatusFile.objects.create(
        setting=place.setting,
        name=found.name,
        digest=digest,
        bytes=found.bytes,
        found_at=timezone.now(),
    )
    file.times_begun += 1
    file.save(update_fields=["times_begun"])
    return file


def _take_rows(place: Place, file: StatusFile, content: bytes) -> bool:
    """False when somebody stopped it. Raises FileRefused before any row counts."""
    rows = tables.rows_of(content, file.name)
    taking = RowTaking(file, place.setting)
    saying.check_columns(taking.our_names({name for row in rows for name in row.cells}))
    StatusFile.objects.filter(pk=file.pk).update(rows_all=len(rows))
    answered = set(StatusRow.objects.filter(file=file).values_list("row_number", flat=True))
    try:
        for row in rows:
            if row.number in answered:
                continue
            if not place.wanted():
                return False
            taking.take(row)
    finally:
        taking.note_missed()
    return True


def _end(
    place: Place,
    file: StatusFile,
    read: Read,
    state: State,
    refusal: str = "",
    values: Mapping[str, str] | None = None,
) -> None:
    """Put the file away with its report; done twice, it is done once."""
    target = place.done if state is State.DONE else place.refused
    if not file.kept_as:
        file.kept_as = _free_name(target, file.name)
    file.ends_as, file.refusal, file.values = state.value, refusal, dict(values or {})
    file.save(update_fields=["ends_as", "refusal", "values", "kept_as"])
    folders.put(target, file.kept_as + reporting.SUFFIX, reporting.report_lines(file))
    _put_away(place, read, target, file.kept_as)
    _mark_ended(file, state)


def _put_away(place: Place, read: Read, target: int, name: str) -> None:
    if folders.is_as_found(place.incoming, read.found):
        folders.move(place.incoming, read.found.name, target, name)
    else:
        # The next file came under its name while it was taken: that one waits for its own turn.
        folders.put(target, name, [read.content])


def _mark_ended(file: StatusFile, state: State, **more: Any) -> None:
    rows = StatusFile.objects.filter(pk=file.pk, state=State.TAKING)
    rows.update(state=state, ended_at=timezone.now(), **more)
    logger.info("Status file %s of %s ended: %s.", file.pk, file.setting_id, state)


def _free_name(target: int, name: str) -> str:
    """A name that nothing there has; files of one name come again."""
    name = name.encode()[-_LONGEST_NAME_BYTES:].decode(errors="ignore")
    stem, dot, ending = name.rpartition(".")
    number, free = 1, name
    while folders.is_there(target, free) or folders.is_there(target, free + reporting.SUFFIX):
        number += 1
        free = f"{stem}-{number}{dot}{ending}"
    return free


def end_moved(place: Place, names: set[str]) -> None:
    """Files whose worker died after they were moved, or that somebody took away meanwhile."""
    left = StatusFile.objects.filter(setting=place.setting, state=State.TAKING)
    for file in left.exclude(name__in=names):
        _mark_moved_or_gone(place, file)


def _mark_moved_or_gone(place: Place, file: StatusFile) -> None:
    target = place.done if file.ends_as == State.DONE else place.refused
    if file.ends_as and folders.is_there(target, file.kept_as):
        _mark_ended(file, State(file.ends_as))
    else:
        _mark_ended(file, State.STOPPED, refusal="gone")
