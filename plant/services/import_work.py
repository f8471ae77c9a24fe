"""Reading a file that was sent in and comparing it, and taking all of it in or nothing."""

import hashlib
import logging
from collections import Counter

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from plant import acting
from plant.errors import DomainError
from plant.models import Conveyor, PlannedRow, Plant, RegisterImport
from plant.register_files.comparing import Comparison
from plant.register_files.planned import PlannedRow as Plan
from plant.register_files.reading import ParsedFile, read_file
from plant.register_files.refusals import FileRefused, Reason
from plant.selectors import register_rows
from plant.services.bulk_keeping import BulkKeeping
from plant.services.import_progress import Progress, Stopped
from plant.services.import_rows import FieldChecks, keep_rows
from plant.services.register_refusals import FieldRefusal, constraints_in_words

logger = logging.getLogger(__name__)

State = RegisterImport.State


class ImportRefused(DomainError):
    """The reason is a code with values; words stand where the reader's language is known."""

    code = "import_refused"

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason.code)
        self.reason = reason


def read(one: RegisterImport) -> None:
    """Read and compare; ends as read, refused or stopped, whatever the file holds."""
    try:
        with one.file.open("rb") as file:
            content = file.read()
        _plan(one, content)
    except Stopped:
        _end(one, State.TO_READ, state=State.STOPPED, stop_asked_at=None)
    except FileRefused as refused:
        _end(one, State.TO_READ, state=State.REFUSED, refusal=_kept(refused.reason))
    except Exception:
        # Owed for ever it would be tried for ever; the file stays and can be read again.
        logger.exception("Reading the file %s failed.", one.pk)
        _end(one, State.TO_READ, state=State.REFUSED, refusal=_kept(Reason("failed")))


def _plan(one: RegisterImport, content: bytes) -> None:
    zone = one.plant.zone_info
    progress = Progress(one)
    parsed = read_file(content, zone, sheet=one.sheet, tick=progress)
    progress.whole = sum(len(sheet.rows) for sheet in parsed.sheets)
    tags = tags_of(parsed)
    # Asked before the rows are: whatever changes from here on shows in it.
    register_hash = _register_hash(one.plant, tags)
    codes = [sheet.sheet.code for sheet in parsed.sheets]
    register = register_rows.register_of(one.plant, tags, codes)
    today = timezone.localdate(timezone.now(), zone)
    rows = Comparison(register, FieldChecks(today), today, progress).plan(parsed)
    one.rows.all().delete()
    for kept in keep_rows(one, rows):
        progress(kept)
    _end(
        one,
        State.TO_READ,
        state=State.READ,
        counts=_counts(rows),
        remarks=[_kept(remark) for remark in parsed.remarks],
        refusal=None,
        register_hash=register_hash,
        read_at=timezone.now(),
        rows_done=len(rows),
        rows_all=len(rows),
    )


def tags_of(parsed: ParsedFile) -> list[str]:
    """The tags a file speaks of, in capitals."""
    found = {
        str(row.values.get("tag") or row.values.get("conveyor") or "").upper()
        for sheet in parsed.sheets
        for row in sheet.rows
    }
    return sorted(found - {""})


def _counts(rows: list[Plan]) -> dict[str, dict[str, int]]:
    found: dict[str, Counter[str]] = {}
    for row in rows:
        found.setdefault(row.sheet, Counter())[row.verdict.value] += 1
    return {sheet: dict(counts) for sheet, counts in found.items()}


def _register_hash(plant: Plant, tags: list[str]) -> str:
    """Changes with everything that is kept under one of these conveyors."""
    rows = register_rows.conveyors_tagged(plant, tags).order_by("pk")
    told = repr(list(rows.values_list("pk", "tag", "version", "changed_at", "retired_on")))
    return hashlib.sha256(told.encode()).hexdigest()


def apply(one: RegisterImport) -> None:
    """Take in all of it; ends as taken in, as read when stopped, or refused with the reason."""
    try:
        _apply_whole(one, Progress(one, one.rows_all))
    except Stopped:
        _end(one, State.TO_APPLY, state=State.READ, stop_asked_at=None, rows_done=0)
    except ImportRefused as refused:
        _end(one, State.TO_APPLY, state=State.REFUSED, refusal=_kept(refused.reason))
    except FieldRefusal as refused:
        reason = Reason("said", values={"text": str(refused)})
        _end(one, State.TO_APPLY, state=State.REFUSED, refusal=_kept(reason))
    except IntegrityError:
        # A row that another connection put there after the register was looked at.
        logger.warning("The register changed while file %s was taken in.", one.pk)
        _end(one, State.TO_APPLY, state=State.REFUSED, refusal=_kept(Reason("register_changed")))
    except Exception:
        logger.exception("Taking in the file %s failed.", one.pk)
        _end(one, State.TO_APPLY, state=State.REFUSED, refusal=_kept(Reason("failed")))


@transaction.atomic
def _apply_whole(one: RegisterImport, progress: Progress) -> None:
    now = timezone.now()
    by = one.applied_by
    assert by is not None
    tags = sorted({tag.upper() for tag in one.rows.values_list("tag", flat=True).distinct() if tag})
    locked = (
        register_rows.conveyors_tagged(one.plant, tags)
        .select_for_update(of=("self",), no_key=True)
        .select_related("plant")
        .order_by("pk")
    )
    conveyors: dict[str, Conveyor] = {row.tag.upper(): row for row in locked}
    if _register_hash(one.plant, tags) != one.register_hash:
        raise ImportRefused(Reason("register_changed"))
    keeping = BulkKeeping(one.plant, conveyors, by, progress)
    writing = one.rows.filter(verdict__in=[PlannedRow.Verdict.NEW, PlannedRow.Verdict.CHANGED])
    with acting.by_person(by), constraints_in_words():
        keeping.keep(lambda code: writing.filter(sheet=code))
        keeping.tell(now)
    ended = _end(one, State.TO_APPLY, state=State.APPLIED, applied_at=now, rows_done=F("rows_all"))
    if not ended:
        raise ImportRefused(Reason("register_changed"))
    logger.info("File %s taken into the register of %s by %s.", one.pk, one.plant.code, by)


def _end(one: RegisterImport, state: str, /, **what: object) -> int:
    """Write down how it ended, unless somebody else has meanwhile."""
    rows = RegisterImport.objects.filter(pk=one.pk, state=state)
    return rows.update(**{"worked_at": None, **what})


def _kept(reason: Reason) -> list[object]:
    return [reason.code, reason.column, reason.values]
