"""Doing the runs that are owed: taken up, written feed by feed, ended whatever happens."""

import logging
from typing import Any

from django.utils import timezone

from plant.models import ExchangeCursor, ExchangeRun, ExchangeSetting, WordingGap
from plant.models.feed import Feed
from plant.services import wording_gaps
from plant.services.claiming import MOST_BEGINNINGS, Heartbeat, claim
from plant.services.exchange import asking, folders
from plant.services.exchange.folders import FilesAreOff, FolderRefused
from plant.services.exchange.writing import Ended, FeedWriting, sign_of_life
from plant.services.feed_reading import ChangesNoLongerKept
from plant.wording.refusals import WordRefused
from plant.wording_words import refusal_words

logger = logging.getLogger(__name__)

State = ExchangeRun.State


def do_owed() -> int:
    """Write what is owed, one run after the other; returns how many."""
    if not folders.is_on():
        return 0
    done = 0
    while (run := _claimed()) is not None:
        if run.times_begun > MOST_BEGINNINGS:
            _end(run, state=State.FAILED, refusal="begun_too_often")
        else:
            _write_or_end(run)
        done += 1
    return done


def _claimed() -> ExchangeRun | None:
    owed = ExchangeRun.objects.owed().select_related("setting__plant", "setting__system")
    return claim(owed, "asked_at")


def _write_or_end(run: ExchangeRun) -> None:
    try:
        _end(run, state=_write(run))
    except Ended:
        _end(run, state=State.STOPPED)
    except FolderRefused as refused:
        logger.warning("Files of %s could not be written: %s", run.setting_id, refused)
        _end(run, state=State.FAILED, refusal=refused.code, detail=str(refused)[:300])
    except WordRefused as refused:
        # Held back rather than told in words that the system does not know.
        detail = refusal_words(refused)[:300]
        _end(run, state=State.FAILED, refusal=refused.why.value, detail=detail)
    except FilesAreOff as refused:
        _end(run, state=State.FAILED, refusal=refused.code)
    except Exception:
        # Owed for ever it would be tried for ever; the next one that is due goes on.
        logger.exception("The run %s of exchange files failed.", run.pk)
        _end(run, state=State.FAILED, refusal="failed")


def _write(run: ExchangeRun) -> str:
    """How it ended: one feed that cannot go on keeps no other back."""
    beat = Heartbeat(ExchangeRun.objects.owed().filter(pk=run.pk))

    def wanted() -> None:
        if not beat():
            raise Ended

    setting, written, lost = run.setting, 0, False
    with folders.opened(setting, folders.OUT) as folder:
        folders.forget_parts(folder)
        for feed in setting.feeds:
            cursors = ExchangeCursor.objects.filter(setting=setting, feed=feed)
            if cursors.filter(lost_at__isnull=False, owes_snapshot=False).exists():
                lost = True
                continue
            try:
                written += _write_feed(FeedWriting(run, Feed(feed), folder, wanted))
            except ChangesNoLongerKept:
                cursors.update(lost_at=timezone.now())
                lost = True
        if setting.writes_sign_of_life:
            sign_of_life(folder, setting)
    ExchangeSetting.objects.filter(pk=setting.pk).update(looked_at=timezone.now())
    return State.LOST if lost else State.DONE if written else State.NOTHING_NEW


def _write_feed(writing: FeedWriting) -> int:
    try:
        return writing.write()
    finally:
        system, missed = writing.missed
        if system is not None and missed:
            wording_gaps.note_gaps(
                system=system, way=WordingGap.Way.OUT, missed=missed, now=timezone.now()
            )


def _end(run: ExchangeRun, **what: Any) -> None:
    """Write down how it ended, unless it has ended meanwhile.

    One that was due and found nothing new is told by the setting's `looked_at` alone.
    """
    rows = ExchangeRun.objects.owed().filter(pk=run.pk)
    if what["state"] == State.NOTHING_NEW and run.asked_by_id is None:
        rows.delete()
        return
    rows.update(ended_at=timezone.now(), worked_at=None, stop_asked_at=None, **what)
    asking.forget_old(run.setting)
