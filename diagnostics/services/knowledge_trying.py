"""Trying a draft of the knowledge on the plant's confirmed cases, in the background.

A trial is owed from the moment it is asked for; a worker takes it up, and another one does when
the first is heard of no more.
"""

import logging
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.models import KnowledgeEdition, KnowledgeTrial
from diagnostics.services import trial_work
from diagnostics.services.knowledge_keeping import NoDraft, lock_plant
from plant.models import User
from plant.services.claiming import MOST_BEGINNINGS, claim, is_silent

logger = logging.getLogger(__name__)

State = KnowledgeTrial.State
KEPT_A_DRAFT = 5


@transaction.atomic
def ask_trial(*, edition_id: int, by: User | None, now: datetime) -> KnowledgeTrial:
    """Owe a trial of a draft as it stands when it is begun; refuses with NoDraft.

    Asked for twice it is tried once: the one that is owed already comes back.
    """
    plant_id = KnowledgeEdition.objects.values_list("plant_id", flat=True).get(pk=edition_id)
    lock_plant(plant_id)
    edition = KnowledgeEdition.objects.defer("contents").get(pk=edition_id)
    if not edition.is_draft:
        raise NoDraft(_("Only a draft can be tried; this edition is one no more."))
    owed = KnowledgeTrial.objects.owed().filter(edition=edition).first()
    if owed is not None:
        return owed
    made = KnowledgeTrial.objects.create(edition=edition, asked_by=by, asked_at=now)
    logger.info("Trial %s of %s asked for by %s.", made.pk, edition.version_text, by)
    _wake()
    return made


def ask_stop(*, trial_id: int, now: datetime) -> None:
    """Stop a trial; nothing of it is kept. One that has ended stays as it is."""
    owed = KnowledgeTrial.objects.owed().filter(pk=trial_id)
    owed.update(stop_asked_at=now)
    # Nobody has begun, or nobody is left to hear it: it stops here.
    owed.filter(is_silent(now)).update(
        state=State.STOPPED, ended_at=now, stop_asked_at=None, worked_at=None
    )


def do_owed() -> int:
    """Try what is owed, one after the other; returns how many."""
    done = 0
    while (one := _claimed()) is not None:
        if one.times_begun > MOST_BEGINNINGS:
            trial_work.refuse(one, "begun_too_often")
        else:
            trial_work.run(one)
        _forget_old(one.edition_id)
        done += 1
    return done


def _wake() -> None:
    from diagnostics import tasks

    # Without a broker the worker looks every few seconds; here it would be done while one waits.
    if settings.BROKER_URL:
        transaction.on_commit(tasks.try_owed_drafts.delay)


def _claimed() -> KnowledgeTrial | None:
    return claim(KnowledgeTrial.objects.owed(), "asked_at", cases_done=0)


def _forget_old(edition_id: int) -> None:
    """Only the latest trials of a draft are kept: each may name thousands of cases."""
    ended = KnowledgeTrial.objects.filter(edition=edition_id).exclude(state=State.TO_TRY)
    kept = ended.order_by("-asked_at", "-pk").values_list("pk", flat=True)[:KEPT_A_DRAFT]
    ended.exclude(pk__in=list(kept)).delete()
