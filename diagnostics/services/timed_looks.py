"""Timed looks: keep taps or a sensor's file, take a look back."""

import math
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import LoadState, TimedLookKind
from diagnostics.inference.watching.samples import Samples, packed, thinned
from diagnostics.inference.watching.sensor_file import SensorFileError, read_sensor_file
from diagnostics.inference.watching.tap_lines import LONGEST_S, MOST_TAPS
from diagnostics.models import Case, TimedLook
from diagnostics.selectors.timed_looks import read_look
from diagnostics.services import cases, diagnosing, walking
from diagnostics.services.walking import CautionsUnread, ClientIdTaken
from plant.errors import DomainError
from plant.loop.vocabulary import Run
from plant.models import User

_SAID_LENGTH = 400
# Of one case, counting those that stand: every one is read again with every diagnosis.
MOST_LOOKS = 40
# Who gives the first year of the calendar gave no time that a zone or the database can hold.
_LONGEST_AGO = timedelta(days=3653)


class TimesRunBackwards(DomainError):
    code = "times_run_backwards"


class TimedLookSaysNothing(DomainError):
    code = "timed_look_says_nothing"


class TimedLookTooLong(DomainError):
    code = "timed_look_too_long"


class TimedInTheFuture(DomainError):
    code = "timed_in_the_future"


class TimedTooLongAgo(DomainError):
    code = "timed_too_long_ago"


class TooManyTimedLooks(DomainError):
    code = "too_many_timed_looks"


class SensorFileRefused(DomainError):
    """The text names row, column and accepted form."""

    code = "sensor_file_refused"


@dataclass(frozen=True)
class Post:
    """Where somebody stood, how the belt ran, and when the watch began."""

    station: str
    run: Run
    position_m: float
    load: LoadState
    is_running_backwards: bool = False
    started_at: datetime | None = None
    note: str = ""


@transaction.atomic
def record_taps(
    *,
    case_id: int,
    post: Post,
    taps: Sequence[Tap],
    duration_s: float,
    cautions_read: bool,
    by: User | None,
    now: datetime,
    client_id: uuid.UUID | None = None,
) -> TimedLook:
    """Keep taps, sides as in the register; the same client id twice is kept once.

    Refuses with CautionsUnread, TimedLookSaysNothing, TimesRunBackwards, TimedLookTooLong,
    OffTheLoop, TimedInTheFuture, TimedTooLongAgo, TooManyTimedLooks and ClientIdTaken.
    """
    _check_cautions(cautions_read)
    _check_taps(taps, duration_s)
    row = TimedLook(
        kind=TimedLookKind.TAPS.value,
        duration_s=duration_s,
        taps=[[one.at_s, one.event.value] for one in taps],
    )
    return _keep(row, case_id=case_id, post=post, by=by, now=now, client_id=client_id)


@transaction.atomic
def record_sensor_file(
    *,
    case_id: int,
    post: Post,
    content: bytes,
    name: str,
    plus_is_left: bool = False,
    cautions_read: bool,
    by: User | None,
    now: datetime,
    client_id: uuid.UUID | None = None,
) -> TimedLook:
    """Keep a sensor's file and its samples; the same client id twice is kept once.

    Refuses with SensorFileRefused besides what `record_taps` refuses.
    """
    _check_cautions(cautions_read)
    try:
        samples = thinned(read_sensor_file(content))
    except SensorFileError as error:
        raise SensorFileRefused(_("The file was not kept: %(why)s") % {"why": error}) from error
    if plus_is_left:
        samples = Samples(samples.times_s, -samples.offsets_mm, samples.splice_passes_s)
    row = TimedLook(
        kind=TimedLookKind.LOG.value,
        duration_s=samples.watched_s,
        splice_passes_s=list(samples.splice_passes_s),
        samples=packed(samples),
        file_name=_bare_name(name),
    )
    return _keep(
        row, case_id=case_id, post=post, by=by, now=now, client_id=client_id, content=content
    )


def _keep(
    row: TimedLook,
    *,
    case_id: int,
    post: Post,
    by: User | None,
    now: datetime,
    client_id: uuid.UUID | None,
    content: bytes | None = None,
) -> TimedLook:
    row.client_id = client_id or uuid.uuid4()
    # Locked first: of the same taps sent twice at once, the second finds what the first kept.
    case = cases.lock_case(case_id)
    if (known := _kept_already(row.client_id, case_id)) is not None:
        return known
    case = cases.lock_open_case(case_id)
    _check_number(case)
    walking.check_place(case.conveyor, post.position_m)
    for name, value in _of(post).items():
        setattr(row, name, value)
    row.case, row.made_by = case, by
    row.started_at = post.started_at or now - timedelta(seconds=row.duration_s)
    _check_start(row.started_at, now)
    row.said = (read_look(row).said or ("",))[0][:_SAID_LENGTH]
    cases.begin_looking(case, by=by, now=now)
    _save(row, content)
    diagnosing.owe_diagnosis(case, now=now)
    return row


def _save(row: TimedLook, content: bytes | None) -> None:
    """Row and file, or neither: a file whose row was refused would never be found again."""
    if content is not None:
        row.file.save("log.csv", ContentFile(content), save=False)
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as error:
        if content is not None:
            row.file.delete(save=False)
        raise ClientIdTaken(_("This look belongs to another case. Open the page again.")) from error


def _kept_already(client_id: uuid.UUID, case_id: int) -> TimedLook | None:
    known = TimedLook.objects.filter(client_id=client_id).first()
    if known is not None and known.case_id != case_id:
        raise ClientIdTaken(_("This look belongs to another case. Open the page again."))
    return known


def _of(post: Post) -> dict[str, Any]:
    return {
        "station": post.station,
        "run": post.run.value,
        "position_m": post.position_m,
        "load": post.load.value,
        "is_running_backwards": post.is_running_backwards,
        "note": post.note.strip()[:400],
    }


def _check_cautions(cautions_read: bool) -> None:
    if not cautions_read:
        raise CautionsUnread(_("Read the cautions and say so before you go to the belt."))


def _check_start(started_at: datetime, now: datetime) -> None:
    if started_at > now:
        raise TimedInTheFuture(_("The timed look began after now. Give the time it began."))
    if started_at < now - _LONGEST_AGO:
        raise TimedTooLongAgo(
            _("The timed look began more than ten years ago. Give the time it began.")
        )


def _check_number(case: Case) -> None:
    standing = TimedLook.objects.filter(case=case, taken_back_at__isnull=True).count()
    if standing >= MOST_LOOKS:
        raise TooManyTimedLooks(
            _("A case holds at most %(most)d timed looks. Take back those that say nothing new.")
            % {"most": MOST_LOOKS}
        )


def _check_taps(taps: Sequence[Tap], duration_s: float) -> None:
    times = [one.at_s for one in taps]
    if not math.isfinite(duration_s) or duration_s <= 0:
        raise TimedLookSaysNothing(
            _("Nothing was timed. Tap at least once, or say when the watch ended.")
        )
    if not all(math.isfinite(one) and one >= 0 for one in times):
        raise TimesRunBackwards(_("Every tap needs a time in seconds from 0 on."))
    if sorted(times) != times or (times and times[-1] > duration_s):
        raise TimesRunBackwards(_("Times run forwards, and the watch ends after the last tap."))
    if duration_s > LONGEST_S or len(taps) > MOST_TAPS:
        raise TimedLookTooLong(
            _("At most %(taps)d taps in ten days are kept.") % {"taps": MOST_TAPS}
        )


def _bare_name(name: str) -> str:
    """The file's own name without folders or what no name may hold."""
    bare = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(letter for letter in bare if letter.isprintable())[-120:]


@transaction.atomic
def count_timed_look(*, timed_look_id: int, case_id: int, counts: bool, now: datetime) -> TimedLook:
    """Take a timed look back or make it count again, as asked; it stays readable.

    Asked for what stands already, nothing changes. Refuses with CaseHasEnded, and with
    TooManyTimedLooks to bring back one too many.
    """
    case = cases.lock_open_case(case_id)
    row = TimedLook.objects.select_for_update(no_key=True).get(pk=timed_look_id, case=case)
    if counts is (row.taken_back_at is None):
        return row
    if counts:
        _check_number(case)
    row.taken_back_at = None if counts else now
    row.save(update_fields=["taken_back_at"])
    diagnosing.owe_diagnosis(case, now=now)
    return row
