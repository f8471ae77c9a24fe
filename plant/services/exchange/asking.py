"""Runs that are owed: because they are due, or because somebody asked; stopped, forgotten."""

import logging
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from plant.models import ExchangeRun, ExchangeSetting, User
from plant.services.claiming import is_silent
from plant.services.exchange import folders, keeping

logger = logging.getLogger(__name__)

State = ExchangeRun.State
RUNS_KEPT = 200
FILES_KEPT = 2000


@transaction.atomic
def ask(*, setting_id: int, by: User | None, now: datetime) -> ExchangeRun:
    """Owe a run; while one is owed, asking again gives that one. Refuses with FilesAreOff."""
    folders.check_on()
    setting = ExchangeSetting.objects.select_for_update(no_key=True).get(pk=setting_id)
    owed = ExchangeRun.objects.owed().filter(setting=setting).first()
    if owed is not None:
        return owed
    made = ExchangeRun.objects.create(setting=setting, asked_at=now, asked_by=by)
    _wake()
    return made


def ask_stop(*, run_id: int, now: datetime) -> None:
    """Write no further; files that are whole stay, and the next run goes on after them."""
    owed = ExchangeRun.objects.owed().filter(pk=run_id)
    owed.update(stop_asked_at=now)
    # Nobody has begun, or nobody is left to hear it: it stops here.
    owed.filter(is_silent(now)).update(
        state=State.STOPPED, ended_at=now, stop_asked_at=None, worked_at=None
    )


def owe_due() -> int:
    """Owe the runs that are due; returns how many."""
    if not folders.is_on():
        return 0
    now = timezone.now()
    due = ExchangeSetting.objects.filter(is_on=True, next_at__lte=now)
    return sum(_owe(pk, now) for pk in due.values_list("pk", flat=True))


@transaction.atomic
def _owe(setting_id: int, now: datetime) -> int:
    # Of two workers the second finds it due no more.
    rows = ExchangeSetting.objects.select_for_update(of=("self",), skip_locked=True, no_key=True)
    due = rows.filter(pk=setting_id, is_on=True, next_at__lte=now)
    setting = due.select_related("plant").first()
    if setting is None:
        return 0
    setting.next_at = keeping.next_due(setting, now)
    setting.save(update_fields=["next_at"])
    if not setting.feeds or ExchangeRun.objects.owed().filter(setting=setting).exists():
        return 0
    ExchangeRun.objects.create(setting=setting, asked_at=now)
    return 1


def forget_old(setting: ExchangeSetting) -> None:
    """Runs and files of long ago are told no more; the files themselves are the other system's."""
    ended = setting.runs.exclude(state=State.OWED)
    kept = list(ended.values_list("pk", flat=True)[:RUNS_KEPT])
    ended.exclude(pk__in=kept).delete()
    written = setting.files.exclude(written_at=None)
    told = list(written.values_list("pk", flat=True)[FILES_KEPT : FILES_KEPT + 1])
    if told:
        written.filter(pk__lte=told[0]).delete()


def _wake() -> None:
    from plant import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.do_what_is_owed.delay)
