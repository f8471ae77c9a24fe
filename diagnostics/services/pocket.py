"""Taking in what phones recorded without signal: each entry once, in its own transaction.

The entry's row is written first: of the same entry sent twice at once the second waits for the
first and finds it taken. What an entry does is the business of the service that does it on a page.
"""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Finding, Photo, PocketEntry, Sighting, TimedLook, WalkDown
from diagnostics.selectors import suspects
from diagnostics.services import (
    cases,
    contested_looks,
    findings,
    photos,
    timed_looks,
    walking,
)
from diagnostics.services.contested_looks import LookMissing
from diagnostics.services.photos import About, SentPhoto
from diagnostics.services.walking import ClientIdTaken, WalkDownMissing
from plant.errors import DomainError
from plant.models import User


class EntryKind(StrEnum):
    BEGIN = "begin"
    MANNER = "pass"
    LOOK = "look"
    COUNT = "count"
    CHOOSE = "choose"
    FINDING = "finding"
    PHOTO = "photo"
    TAPS = "taps"
    FINISH = "finish"
    GO_ON = "go-on"


class PhotoMissing(DomainError):
    code = "photo_missing"


class RecordMissing(DomainError):
    code = "record_missing"


@dataclass(frozen=True)
class SentEntry:
    """`body` is what the kind's form read; `made_at` is by the site's clock."""

    id: uuid.UUID
    kind: EntryKind
    body: Mapping[str, Any]
    made_at: datetime
    photo: bytes = b""


@dataclass(frozen=True)
class Taken:
    """`theirs` is the look that a contested one differs from."""

    entry: PocketEntry
    is_known: bool = False
    theirs: Sighting | None = None


@dataclass(frozen=True)
class _Taking:
    case: Case
    sent: SentEntry
    by: User
    now: datetime
    body: Mapping[str, Any] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "body", self.sent.body)

    def walk(self) -> WalkDown:
        found = self.case.walk_downs.filter(client_id=self.body["walk"]).first()
        if found is None:
            raise WalkDownMissing(_("The walk-down that this belongs to was not kept."))
        return found

    def look(self, name: str) -> Sighting | None:
        wanted = self.body.get(name)
        return self._looks().filter(client_id=wanted).first() if wanted else None

    def row(self, rows: Any, name: str) -> int:
        """Key of the case's row of this id."""
        found = rows.filter(case=self.case, client_id=self.body[name]).first()
        if found is None:
            raise RecordMissing(_("What this takes back was not kept."))
        return int(found.pk)

    def _looks(self) -> Any:
        rows = Sighting.objects.filter(walk_down__case=self.case)
        return rows.select_related("walk_down")


def take_entry(*, case_id: int, sent: SentEntry, by: User, now: datetime) -> Taken:
    """Do what the entry says, or find that it was done; refuses as the services do."""
    if (known := _taken_already(case_id, sent)) is not None:
        return known
    try:
        with transaction.atomic():
            entry = PocketEntry.objects.create(
                id=sent.id,
                case_id=case_id,
                kind=sent.kind,
                made_at=sent.made_at,
                received_at=now,
                sent_by=by,
            )
            # Also the lock that keeps what two phones say of one station one after the other.
            taking = _Taking(cases.lock_case(case_id), sent, by, now)
            _DO[sent.kind](taking)
            if sent.kind is EntryKind.LOOK:
                return Taken(entry, theirs=_contest(taking, entry))
            return Taken(entry)
    except IntegrityError:
        if (known := _taken_already(case_id, sent)) is not None:
            return known
        raise


def _taken_already(case_id: int, sent: SentEntry) -> Taken | None:
    entry = PocketEntry.objects.filter(pk=sent.id).first()
    if entry is None:
        return None
    if entry.case_id != case_id or entry.kind != sent.kind:
        raise ClientIdTaken(_("This entry belongs to something else. Record it again."))
    theirs = None
    if entry.outcome == PocketEntry.Outcome.CONTESTED:
        row = Sighting.objects.filter(client_id=entry.pk)
        look = row.select_related("differs_from__walk_down", "differs_from__seen_by").first()
        theirs = look.differs_from if look else None
    return Taken(entry, is_known=True, theirs=theirs)


def _contest(taking: _Taking, entry: PocketEntry) -> Sighting | None:
    look = Sighting.objects.get(client_id=taking.sent.id)
    if not contested_looks.contest(taking.case, look, taking.body["beside"], taking.now):
        return None
    entry.outcome = PocketEntry.Outcome.CONTESTED
    entry.save(update_fields=["outcome"])
    return look.differs_from


def _begin(taking: _Taking) -> None:
    how = taking.body["how"]
    walk_down = walking.begin_walk_down(
        case_id=taking.case.pk,
        how=how,
        cautions_read=taking.body["cautions_read"],
        by=taking.by,
        now=taking.now,
        started_at=taking.sent.made_at,
        client_id=taking.sent.id,
    )
    if how.stopped_reason:
        walking.finish_walk_down(walk_down_id=walk_down.pk, now=taking.sent.made_at)


def _pass(taking: _Taking) -> None:
    walking.change_pass(walk_down_id=taking.walk().pk, how=taking.body["how"], now=taking.now)


def _look(taking: _Taking) -> None:
    walk_down = taking.walk()
    walking.record_sighting(
        walk_down_id=walk_down.pk,
        seen=taking.body["seen"],
        by=taking.by,
        now=taking.now,
        client_id=taking.sent.id,
        # A clock that was set between the two would have it seen before it began.
        seen_at=max(taking.sent.made_at, walk_down.started_at),
    )


def _count(taking: _Taking) -> None:
    how: dict[str, Any] = {"counts": taking.body["counts"], "now": taking.now}
    of_case = how | {"case_id": taking.case.pk}
    if "finding" in taking.body:
        findings.count_finding(finding_id=taking.row(Finding.objects, "finding"), **of_case)
    elif "photo" in taking.body:
        photos.count_photo(photo_id=taking.row(Photo.objects, "photo"), **of_case)
    elif "taps" in taking.body:
        row = taking.row(TimedLook.objects, "taps")
        timed_looks.count_timed_look(timed_look_id=row, **of_case)
    else:
        _count_look(taking, how)


def _count_look(taking: _Taking, how: Mapping[str, Any]) -> None:
    look = taking.look("look")
    if look is None:
        raise LookMissing(_("The look that this takes back was not kept."))
    walking.count_sighting(sighting_id=look.pk, walk_down_id=look.walk_down_id, **how)


def _choose(taking: _Taking) -> None:
    body = taking.body
    contested_looks.choose_between(
        case_id=taking.case.pk,
        mine=body["mine"],
        theirs=body["theirs"],
        choice=body["counts"],
        now=taking.now,
    )


def _finding(taking: _Taking) -> None:
    body = taking.body
    findings.record_finding(
        case_id=taking.case.pk,
        cause=body["cause"],
        is_present=body["is_present"],
        by=taking.by,
        now=taking.now,
        component=suspects.component_at(taking.case.conveyor, body["place"]),
        place=body["place"],
        note=body["note"],
        found_at=taking.sent.made_at,
        client_id=taking.sent.id,
    )


def _photo(taking: _Taking) -> None:
    body, sent = taking.body, taking.sent
    if not sent.photo:
        raise PhotoMissing(_("The photo itself is missing. Take it again."))
    finding = Finding.objects.filter(case=taking.case, client_id=body["finding"]).first()
    photos.take_photos(
        case_id=taking.case.pk,
        sent=[SentPhoto(sent.id, sent.photo, taken_at=sent.made_at)],
        about=About(
            finding=finding,
            sighting=taking.look("look"),
            place=body["place"],
            caption=body["caption"],
        ),
        by=taking.by,
        now=taking.now,
    )


def _taps(taking: _Taking) -> None:
    body = taking.body
    timed_looks.record_taps(
        case_id=taking.case.pk,
        post=timed_looks.Post(
            station=body["station"],
            run=body["run"],
            position_m=body["position_m"],
            load=body["load"],
            is_running_backwards=body["is_running_backwards"],
            started_at=taking.sent.made_at - timedelta(seconds=body["duration_s"]),
            note=body["note"],
        ),
        taps=body["taps"],
        duration_s=body["duration_s"],
        cautions_read=body["cautions_read"],
        by=taking.by,
        now=taking.now,
        client_id=taking.sent.id,
    )


def _finish(taking: _Taking) -> None:
    walk_down = taking.walk()
    if walk_down.finished_at is None:
        at = max(taking.sent.made_at, walk_down.started_at)
        walking.finish_walk_down(walk_down_id=walk_down.pk, now=at)


def _go_on(taking: _Taking) -> None:
    walking.go_on_walking(walk_down_id=taking.walk().pk)


_DO: dict[EntryKind, Callable[[_Taking], None]] = {
    EntryKind.BEGIN: _begin,
    EntryKind.MANNER: _pass,
    EntryKind.LOOK: _look,
    EntryKind.COUNT: _count,
    EntryKind.CHOOSE: _choose,
    EntryKind.FINDING: _finding,
    EntryKind.PHOTO: _photo,
    EntryKind.TAPS: _taps,
    EntryKind.FINISH: _finish,
    EntryKind.GO_ON: _go_on,
}
