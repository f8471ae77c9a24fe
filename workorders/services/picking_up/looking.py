"""Looking into the folders of systems that leave status files, a few times a minute.

A file is taken when its size and its time of change were the same for ten seconds, seen twice by
us: clocks of other machines count for nothing. Whoever writes under a name that begins with a dot
or ends with .part or .tmp and renames at the end is never seen half.
"""

import logging
import time
from datetime import datetime, timedelta

from django.db.models import Q
from django.utils import timezone

from plant.exchange import names as exchange_names
from plant.models import ExchangeSetting
from plant.services.claiming import Heartbeat, claim
from plant.services.exchange import folders
from plant.services.exchange.folders import Found
from workorders.models import PickUp, StatusFile
from workorders.services.picking_up import reporting, taking_files
from workorders.services.picking_up.taking_files import Place
from workorders.status_files.tables import LARGEST_FILE_BYTES

logger = logging.getLogger(__name__)

EVERY = timedelta(seconds=15)
# Whoever is woken just as often must not find a folder not quite due and come for nothing.
_SLACK = timedelta(seconds=2)
QUIET_S = 10.0
MOST_FILES = 500
# What else lies there is passed over, yet not without end.
_MOST_LISTED = 50_000
# Rows of files of so long ago are forgotten; what they said stays said.
KEPT_FOR = timedelta(days=400)
_BEING_WRITTEN = (".part", ".tmp", ".filepart", "~")


def look_owed() -> int:
    """Look into each folder whose turn it is; returns how many files were taken."""
    if not folders.is_on():
        return 0
    _begin_new()
    done = 0
    while (pick_up := _claimed(timezone.now())) is not None:
        done += _look(pick_up)
    return done


def ask_stop(*, setting_id: int, now: datetime) -> None:
    """The file that is being taken is put away; rows that were taken stay taken."""
    taking = StatusFile.objects.filter(setting=setting_id, state=StatusFile.State.TAKING)
    if taking.exists():
        PickUp.objects.filter(setting=setting_id).update(stop_asked_at=now)


def _begin_new() -> None:
    wanted = ExchangeSetting.objects.filter(is_on=True, picks_up=True, pick_up__isnull=True)
    PickUp.objects.bulk_create([PickUp(setting=one) for one in wanted], ignore_conflicts=True)


def _claimed(now: datetime) -> PickUp | None:
    wanted = PickUp.objects.filter(setting__is_on=True, setting__picks_up=True)
    due = wanted.filter(Q(looked_at__isnull=True) | Q(looked_at__lte=now - EVERY + _SLACK))
    return claim(due.select_related("setting__plant", "setting__system"), "looked_at")


def _look(pick_up: PickUp) -> int:
    trouble, taken = "", 0
    try:
        taken, trouble = _take_what_is_whole(pick_up)
    except folders.FolderRefused as refused:
        trouble = str(refused)
        logger.warning(
            "Status files of %s could not be looked for: %s", pick_up.setting_id, refused
        )
    except Exception:
        logger.exception("Looking for status files of %s failed.", pick_up.setting_id)
        trouble = "failed"
    PickUp.objects.filter(pk=pick_up.pk).update(
        looked_at=timezone.now(),
        worked_at=None,
        stop_asked_at=None,
        trouble=trouble[:300],
        seen=pick_up.seen,
    )
    return taken


def _take_what_is_whole(pick_up: PickUp) -> tuple[int, str]:
    """How many files, and what kept the last of the others."""
    setting, taken, trouble = pick_up.setting, 0, ""
    with (
        folders.opened(setting, folders.IN) as incoming,
        folders.opened(setting, folders.DONE) as done,
        folders.opened(setting, folders.REFUSED) as refused,
    ):
        beat = Heartbeat(PickUp.objects.filter(pk=pick_up.pk))
        place = Place(setting, incoming, done, refused, beat)
        found = [one for one in folders.listed(incoming, _MOST_LISTED) if is_meant(one.name)]
        taking_files.end_moved(place, {one.name for one in found})
        whole = quiet(pick_up, found[:MOST_FILES], time.time())
        for one in whole:
            try:
                taken += _take(place, one)
            except folders.FolderRefused as refused:
                # One that may not be read must not keep those after it for ever.
                trouble = str(refused)
                logger.warning("A status file of %s was not taken: %s", setting.pk, refused)
            if not beat():
                break
    StatusFile.objects.filter(setting=setting, ended_at__lt=timezone.now() - KEPT_FOR).delete()
    return taken, trouble


def is_meant(name: str) -> bool:
    """Neither still being written nor one of our own reports."""
    if name.startswith(".") or exchange_names.is_aside(name):
        return False
    return not name.lower().endswith((*_BEING_WRITTEN, reporting.SUFFIX))


def quiet(pick_up: PickUp, found: list[Found], now_s: float) -> list[Found]:
    """Those that did not change since they were first seen so; remembers the others."""
    before, pick_up.seen = pick_up.seen, {}
    whole = []
    for one in found:
        as_seen = before.get(one.name)
        looks = [one.bytes, str(one.changed_ns)]
        since = as_seen[2] if as_seen and as_seen[:2] == looks else now_s
        # A clock set back must not keep a file waiting for ever.
        if not one.is_plain or now_s - since >= QUIET_S:
            whole.append(one)
        pick_up.seen[one.name] = [*looks, min(since, now_s)]
    return whole


def _take(place: Place, found: Found) -> int:
    if not found.is_plain:
        taking_files.refuse_link(place, found)
        return 1
    content = folders.read(place.incoming, found, LARGEST_FILE_BYTES)
    if content is None:
        return 0
    taking_files.take_file(place, found, content)
    return 1
