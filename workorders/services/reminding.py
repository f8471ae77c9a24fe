"""Reminding people by mail of what wants their attention, of each fact once.

What was told is written down before the mail goes out: a worker that dies in between costs one mail
and repeats none, and the pages of work show the same things all the while.
"""

import logging
from collections.abc import Iterable
from datetime import datetime, time, timedelta
from itertools import groupby

from django.conf import settings
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import F, Q
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import ngettext

from plant import access
from plant.models import Plant, User
from workorders.attention import AttentionKind
from workorders.attention_words import ATTENTION_WORDS, CONCERNS
from workorders.models import Reminder, ReminderWish
from workorders.selectors.attention import Wanting, flat, wanting_attention

logger = logging.getLogger(__name__)

_FIRST_PAUSE = timedelta(minutes=5)
_MOST_TRIES = 6
# More than this in one mail nobody reads; the rest is named by its number.
MOST_LINES = 60


@transaction.atomic
def wish(*, user: User, plant: Plant, kinds: Iterable[AttentionKind], at: time) -> ReminderWish:
    """Keep what a person wants to be reminded of at a plant; nothing: no mail."""
    kept, _made = ReminderWish.objects.update_or_create(
        user=user, plant=plant, defaults={"kinds": sorted(kinds), "at": at}
    )
    return kept


def wish_of(user: User, plant: Plant) -> ReminderWish:
    """What counts now: the person's own wish, else what concerns their roles at six."""
    own = ReminderWish.objects.filter(user=user, plant=plant).first()
    return own or ReminderWish(user=user, plant=plant, kinds=sorted(_concerning(user)))


def send_due() -> int:
    """Send the reminders of everybody whose hour has come; returns how many mails went out."""
    now = timezone.now()
    # Nobody of an invented plant has a mailbox.
    plants = Plant.objects.filter(is_demo=False).prefetch_related("people__groups")
    return sum(_remind_people(plant, now) for plant in plants)


def _remind_people(plant: Plant, now: datetime) -> int:
    local = timezone.localtime(now, plant.zone_info)
    # Who has no role any more sees no order, and reads of none.
    people = [one for one in plant.people.all() if one.email and access.roles_of(one)]
    _begin_wishes(plant, people)
    due = (
        ReminderWish.objects.filter(plant=plant, user__in=people, at__lte=local.time())
        .filter(Q(last_day__isnull=True) | Q(last_day__lt=local.date()))
        .filter(Q(try_at__isnull=True) | Q(try_at__lte=now))
        .exclude(kinds=[])
    )
    waiting = list(due.values_list("pk", flat=True))
    if not waiting:
        return 0
    wanting = wanting_attention(plant, now)
    return sum(_remind_one(pk, wanting, now) for pk in waiting)


def _begin_wishes(plant: Plant, people: list[User]) -> None:
    known = set(ReminderWish.objects.filter(plant=plant).values_list("user_id", flat=True))
    new = [
        ReminderWish(user=one, plant=plant, kinds=sorted(_concerning(one)))
        for one in people
        if one.pk not in known
    ]
    ReminderWish.objects.bulk_create(new, ignore_conflicts=True)


def _remind_one(pk: int, wanting: dict[AttentionKind, list[Wanting]], now: datetime) -> int:
    found = _claim(pk, wanting, now)
    if found is None:
        return 0
    kept, reminders, told = found
    try:
        _mail(kept, told)
    except OSError:
        # smtplib's errors are OSErrors too. Told to nobody: tried again after a longer pause.
        logger.exception("Reminders of user %s could not be mailed.", kept.user_id)
        _give_back(kept, reminders, now)
        return 0
    return 1


@transaction.atomic
def _claim(
    pk: int, wanting: dict[AttentionKind, list[Wanting]], now: datetime
) -> tuple[ReminderWish, list[Reminder], list[Wanting]] | None:
    """Write down that the day's reminders of this person are told; None when there is nothing to
    tell, or another worker does."""
    rows = ReminderWish.objects.select_for_update(of=("self",), skip_locked=True, no_key=True)
    kept = rows.select_related("user", "plant").filter(pk=pk).first()
    today = kept.plant.day_of(now) if kept else None
    if kept is None or (kept.last_day is not None and today is not None and kept.last_day >= today):
        return None
    asked = flat(wanting, kept.kinds)
    told_before = set(
        Reminder.objects.filter(
            user=kept.user, order__in=[one.order.pk for one in asked]
        ).values_list("order_id", "kind", "fact")
    )
    new = [one for one in asked if _key(one) not in told_before]
    ReminderWish.objects.filter(pk=pk).update(last_day=today, try_at=None)
    if not new:
        return None
    reminders = Reminder.objects.bulk_create(
        Reminder(user=kept.user, order=one.order, kind=kind, fact=fact, told_at=now)
        for one in new
        for _order, kind, fact in [_key(one)]
    )
    return kept, reminders, new


def _key(one: Wanting) -> tuple[int, str, str]:
    return one.order.pk, one.attention.kind.value, one.attention.fact


@transaction.atomic
def _give_back(kept: ReminderWish, reminders: list[Reminder], now: datetime) -> None:
    Reminder.objects.filter(pk__in=[one.pk for one in reminders]).delete()
    if kept.tries >= _MOST_TRIES:
        # Today's mail is lost; tomorrow's says it all again.
        ReminderWish.objects.filter(pk=kept.pk).update(tries=0, try_at=None)
        return
    ReminderWish.objects.filter(pk=kept.pk).update(
        last_day=None, tries=F("tries") + 1, try_at=now + _FIRST_PAUSE * 2**kept.tries
    )


def _mail(kept: ReminderWish, told: list[Wanting]) -> None:
    shown = told[:MOST_LINES]
    with translation.override(settings.LANGUAGE_CODE), timezone.override(kept.plant.zone_info):
        context = {
            "user": kept.user,
            "plant": kept.plant,
            "groups": [
                (ATTENTION_WORDS[kind], list(rows))
                for kind, rows in groupby(shown, key=lambda one: one.attention.kind)
            ],
            "more": len(told) - len(shown),
            "site": settings.SITE_ADDRESS,
        }
        text = render_to_string("workorders/hand_over/reminder_mail.txt", context)
        how_many = len({one.order.pk for one in told})
        subject = ngettext(
            "%(plant)s: %(count)d order wants attention",
            "%(plant)s: %(count)d orders want attention",
            how_many,
        ) % {"plant": kept.plant.name, "count": how_many}
        send_mail(subject, text, None, [kept.user.email])
    ReminderWish.objects.filter(pk=kept.pk).update(tries=0)


def _concerning(user: User) -> set[str]:
    roles = access.roles_by_group(user)
    return {kind.value for role in roles for kind in CONCERNS.get(role, ())}
