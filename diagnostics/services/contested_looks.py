"""Looks of two people that plainly differ: both are kept, a person chooses which count."""

import uuid
from collections.abc import Collection
from datetime import datetime
from enum import StrEnum

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.inference.contested import plainly_differ
from diagnostics.models import Case, Sighting
from diagnostics.selectors.evidence import mended_at_of
from diagnostics.selectors.loop_ribbon import offset_of
from diagnostics.services import cases, diagnosing
from plant.errors import DomainError


class LookMissing(DomainError):
    code = "look_missing"


class Choice(StrEnum):
    MINE = "mine"
    THEIRS = "theirs"
    BOTH = "both"


def contest(case: Case, look: Sighting, known: Collection[uuid.UUID], now: datetime) -> bool:
    """Set a new look aside when somebody else's, unknown to its maker, plainly differs.

    The caller has locked the case: of two phones that send at once the second sees the first's.
    """
    theirs = _differing(case, look, known)
    if theirs is None:
        return False
    look.differs_from, look.taken_back_at = theirs, now
    look.save(update_fields=["differs_from", "taken_back_at"])
    return True


def _differing(case: Case, look: Sighting, known: Collection[uuid.UUID]) -> Sighting | None:
    """The latest standing look of somebody else there that says something plainly else."""
    if look.not_seen_reason:
        return None
    others = Sighting.objects.filter(
        walk_down__case=case,
        station__iexact=look.station,
        load=look.load,
        is_running_backwards=look.is_running_backwards,
        taken_back_at__isnull=True,
        not_seen_reason="",
    )
    others = others.exclude(seen_by=look.seen_by_id).exclude(client_id__in=known)
    mended_at = mended_at_of(case)
    if mended_at is not None:
        others = others.filter(seen_at__gt=mended_at)
    clearance_mm = case.conveyor.clearance_mm
    mine_mm = offset_of(look, clearance_mm)
    return next(
        (
            one
            for one in others.select_related("walk_down", "seen_by").order_by("-seen_at", "-pk")
            if plainly_differ(mine_mm, offset_of(one, clearance_mm), clearance_mm)
        ),
        None,
    )


@transaction.atomic
def choose_between(
    *, case_id: int, mine: uuid.UUID, theirs: uuid.UUID, choice: Choice, now: datetime
) -> None:
    """What a person says of two looks that differ; asked for what stands already, nothing changes.

    Refuses with LookMissing and CaseHasEnded.
    """
    case = cases.lock_open_case(case_id)
    wanted = {mine: choice is not Choice.THEIRS, theirs: choice is not Choice.MINE}
    rows = Sighting.objects.select_for_update(of=("self",), no_key=True)
    looks = list(rows.filter(walk_down__case=case, client_id__in=wanted))
    if len(looks) < len(wanted):
        raise LookMissing(_("One of the two looks is no longer there. Open the case again."))
    for look in looks:
        look.taken_back_at = None if wanted[look.client_id] else look.taken_back_at or now
        if look.client_id == mine:
            look.differs_from = None
        look.save(update_fields=["taken_back_at", "differs_from"])
    diagnosing.owe_diagnosis(case, now=now)
