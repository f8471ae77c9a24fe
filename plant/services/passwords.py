"""Passwords: one's own, a one-time one from an administrator, a link by mail for a new one."""

import logging
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.tokens import default_token_generator
from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import gettext as _

from plant.models import PasswordLink, User

logger = logging.getLogger(__name__)

# Nobody's mailbox is filled by somebody who types their address again and again.
_ONE_LINK_EVERY = timedelta(minutes=5)
# An older wish has been given up or asked again.
_OWED_FOR = timedelta(hours=1)
# Engineering judgement: more open wishes than people at a plant is somebody playing.
_MOST_OWED = 500
_FIRST_PAUSE = timedelta(seconds=15)
# Read aloud over the telephone: nothing that looks or sounds like another letter.
_CLEAR_LETTERS = "abcdefghkmnpqrstuvwxyz23456789"


@transaction.atomic
def set_own_password(*, user: User, password: str) -> None:
    """Keep a password the person chose; a one-time password is thereby used up."""
    user.set_password(password)
    user.must_change_password = False
    user.save(update_fields=["password", "must_change_password"])


@transaction.atomic
def give_one_time_password(*, user: User, by: User) -> str:
    """Set a password that opens only the page where a new one is chosen, and return it.

    Whoever is signed in with the old password is signed out by it.
    """
    password = _password_to_read_aloud()
    user.set_password(password)
    user.must_change_password = True
    user.save(update_fields=["password", "must_change_password"])
    logger.info("One-time password for user %s given by user %s.", user.pk, by.pk)
    return password


def _password_to_read_aloud() -> str:
    """Four groups of four letters: about 78 bits, more than anybody tries out."""
    letters = [secrets.choice(_CLEAR_LETTERS) for _place in range(16)]
    return "-".join("".join(letters[start : start + 4]) for start in range(0, 16, 4))


@transaction.atomic
def ask_for_link(*, address: str, site: str, now: datetime) -> None:
    """Owe a link to this address, known or not; the worker sends it.

    The worker and not this process, because the time a mail takes would tell that there was one.
    """
    PasswordLink.objects.filter(asked_at__lt=now - _OWED_FOR).delete()
    owed = PasswordLink.objects.select_for_update().filter(address__iexact=address).first()
    if owed is None and PasswordLink.objects.count() >= _MOST_OWED:
        logger.warning("More than %d password links are owed; one more was refused.", _MOST_OWED)
        return
    if owed is not None and owed.asked_at > now - _ONE_LINK_EVERY:
        return
    PasswordLink.objects.filter(address__iexact=address).delete()
    # Of two who ask for one address together, one row stays: the constraint drops the other.
    PasswordLink.objects.bulk_create(
        [PasswordLink(address=address, site=site, asked_at=now, try_at=now)],
        ignore_conflicts=True,
    )


def send_owed_links() -> int:
    """Send the links that are owed and return how many; the sweep calls it again and again."""
    now = timezone.now()
    due = PasswordLink.objects.filter(
        sent_at__isnull=True, try_at__lte=now, asked_at__gte=now - _OWED_FOR
    )
    return sum(_send_one(pk, now) for pk in due.values_list("pk", flat=True)[:50])


@transaction.atomic
def _send_one(pk: int, now: datetime) -> bool:
    # Two workers: whoever comes second finds the row locked and leaves it.
    rows = PasswordLink.objects.select_for_update(skip_locked=True)
    owed = rows.filter(pk=pk, sent_at__isnull=True).first()
    if owed is None:
        return False
    try:
        for user in User.objects.filter(email__iexact=owed.address, is_active=True):
            _mail_link(user, owed.site)
    except OSError:
        # smtplib's errors are OSErrors too. Tried again later, each time after a longer pause.
        logger.exception("A password link could not be mailed.")
        owed.tries += 1
        owed.try_at = now + _FIRST_PAUSE * 2**owed.tries
        owed.save(update_fields=["tries", "try_at"])
        return False
    owed.sent_at = now
    owed.save(update_fields=["sent_at"])
    return True


def _mail_link(user: User, site: str) -> None:
    whose = urlsafe_base64_encode(force_bytes(user.pk))
    token = default_token_generator.make_token(user)
    link = f"{site}{reverse('password-new', args=[whose, token])}"
    text = render_to_string("plant/account/link_mail.txt", {"user": user, "link": link})
    # To the address in the register, never to the one that was typed.
    send_mail(_("A new password for Loopwright"), text, None, [user.email])
