"""Files sent in for the register: read and compared, shown, then taken in whole or not at all.

Small files are read while their sender waits; long ones are owed, and the worker reads them.
"""

import hashlib
import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from plant.models import Plant, RegisterImport, User
from plant.register_files import limits
from plant.register_files.packages import unpacked_bytes
from plant.register_files.refusals import FileRefused, Reason
from plant.services import import_work
from plant.services.claiming import is_silent
from plant.services.import_work import ImportRefused

logger = logging.getLogger(__name__)

State = RegisterImport.State
# What is read while somebody waits: about a second's work.
_AT_ONCE_BYTES = 600_000
_AT_ONCE_ROWS = 2_000
_KEPT_FOR = timedelta(days=30)


def take_in_file(
    *, plant: Plant, name: str, content: bytes, sheet: str, by: User, now: datetime
) -> RegisterImport:
    """Keep a file and read it, at once when it is small; refuses with ImportRefused."""
    try:
        if len(content) > limits.LARGEST_FILE_BYTES:
            raise FileRefused("file_too_large", most=limits.LARGEST_FILE_BYTES // 1_000_000)
        is_small = unpacked_bytes(content) <= _AT_ONCE_BYTES
    except FileRefused as refused:
        raise ImportRefused(refused.reason) from refused
    made = RegisterImport(
        plant=plant,
        made_by=by,
        made_at=now,
        file_name=name[-200:],
        file_hash=hashlib.sha256(content).hexdigest(),
        file_bytes=len(content),
        sheet=sheet,
        # Nobody else takes it up while it is read here.
        worked_at=now if is_small else None,
    )
    # The name a person gave it is shown, never used as a path.
    made.file.save(f"{made.file_hash[:16]}.table", ContentFile(content), save=False)
    made.save()
    logger.info("File %s for the register of %s sent by %s.", made.pk, plant.code, by)
    if is_small:
        import_work.read(made)
        made.refresh_from_db()
    else:
        _wake()
    return made


def ask_apply(*, import_id: int, by: User, now: datetime) -> RegisterImport:
    """Take in what a file says, at once when it is little; refuses with ImportRefused.

    Twice does nothing twice.
    """
    one = RegisterImport.objects.get(pk=import_id)
    if one.state in {State.APPLIED, State.TO_APPLY}:
        return one
    _check_appliable(one)
    is_little = writing_rows(one) <= _AT_ONCE_ROWS
    asked = RegisterImport.objects.filter(pk=one.pk, state=State.READ).update(
        state=State.TO_APPLY,
        applied_by=by,
        stop_asked_at=None,
        rows_done=0,
        rows_all=writing_rows(one),
        worked_at=now if is_little else None,
    )
    one.refresh_from_db()
    if asked and is_little:
        import_work.apply(one)
        one.refresh_from_db()
        if one.refusal:
            raise ImportRefused(Reason(*one.refusal))
    elif asked:
        _wake()
    return one


def read_again(*, import_id: int, now: datetime) -> RegisterImport:
    """Compare a file anew with the register as it stands now."""
    one = RegisterImport.objects.get(pk=import_id)
    if one.state in {State.READ, State.REFUSED, State.STOPPED} and one.file:
        is_small = one.file_bytes <= _AT_ONCE_BYTES // 10
        RegisterImport.objects.filter(pk=one.pk).update(
            state=State.TO_READ,
            stop_asked_at=None,
            refusal=None,
            rows_done=0,
            rows_all=0,
            worked_at=now if is_small else None,
        )
        one.refresh_from_db()
        if is_small:
            import_work.read(one)
            one.refresh_from_db()
        else:
            _wake()
    return one


def ask_stop(*, import_id: int, now: datetime) -> None:
    """Stop reading or taking in; nothing of it stays. What has ended already stays as it is."""
    rows = RegisterImport.objects.filter(pk=import_id)
    rows.owed().update(stop_asked_at=now)
    # Nobody has begun: it stops here.
    waiting = rows.filter(worked_at__isnull=True)
    waiting.filter(state=State.TO_READ).update(state=State.STOPPED)
    waiting.filter(state=State.TO_APPLY).update(state=State.READ, stop_asked_at=None)


def leave(*, import_id: int) -> None:
    """Put a file aside; nothing of it is taken in."""
    RegisterImport.objects.filter(
        pk=import_id, state__in=[State.READ, State.REFUSED, State.STOPPED]
    ).update(state=State.LEFT)


def writing_rows(one: RegisterImport) -> int:
    """How many rows taking the file in would write."""
    return sum(counts.get("new", 0) + counts.get("changed", 0) for counts in one.counts.values())


def refused_rows(one: RegisterImport) -> int:
    return sum(counts.get("refused", 0) for counts in one.counts.values())


def do_owed() -> int:
    """Read and take in what is owed, one after the other; returns how many."""
    done = 0
    while (one := _claimed()) is not None:
        (import_work.read if one.state == State.TO_READ else import_work.apply)(one)
        done += 1
    _forget_old(timezone.now())
    return done


def _wake() -> None:
    from plant import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.do_what_is_owed.delay)


@transaction.atomic
def _claimed() -> RegisterImport | None:
    now = timezone.now()
    free = RegisterImport.objects.owed().filter(is_silent(now))
    one = free.select_for_update(skip_locked=True, no_key=True).order_by("made_at", "pk").first()
    if one is not None:
        one.worked_at = now
        one.save(update_fields=["worked_at"])
    return one


def _check_appliable(one: RegisterImport) -> None:
    if one.state != State.READ:
        raise ImportRefused(Reason("not_read"))
    if refused := refused_rows(one):
        raise ImportRefused(Reason("rows_refused", values={"count": refused}))
    if not writing_rows(one):
        raise ImportRefused(Reason("nothing_to_do"))


def _forget_old(now: datetime) -> None:
    """Files and planned rows go after a while; that there was a file, and who sent it, stays."""
    old = RegisterImport.objects.filter(made_at__lt=now - _KEPT_FOR).exclude(file="")
    for one in old.exclude(state__in=[State.TO_READ, State.TO_APPLY])[:20]:
        one.rows.all().delete()
        one.file.delete(save=False)
        ended = one.state if one.state == State.APPLIED else State.LEFT
        RegisterImport.objects.filter(pk=one.pk).update(file="", state=ended)
