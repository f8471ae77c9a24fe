"""Addresses that are refused, tries that failed and what follows, in words."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.webhooks.addresses import Objection
from plant.webhooks.answers import Fault

HOW_TO_ALLOW = _(
    "Whoever runs the server can allow it: list its network or its name in the setting "
    "WEBHOOK_PRIVATE_TARGETS, such as 10.20.0.0/16,stores.plant.example, and start the site again."
)
OBJECTION_WORDS: dict[Objection, str | Promise] = {
    Objection.TOO_LONG: _("The address has more than 500 signs."),
    Objection.NOT_WRITTEN_OUT: _(
        "The address has spaces or signs that do not belong in one. Write them as %20 and the like."
    ),
    Objection.SCHEME: _("Begin the address with https:// (or http:// in a closed network)."),
    Objection.NO_HOST: _("The address names no machine: https://stores.plant.example/changes."),
    Objection.USER: _("Leave user and password out; each message is signed instead."),
    Objection.PORT: _("Give a port of 80, 443 or from 1024 to 65535, or none."),
    Objection.FRAGMENT: _("Leave out what begins with #; it is never sent."),
}
FAULT_WORDS: dict[Fault, str | Promise] = {
    Fault.BAD_ADDRESS: _("It was sent on to an address that cannot be one."),
    Fault.NO_SUCH_NAME: _("No machine of that name is known."),
    Fault.NOT_ALLOWED: _(
        "The name leads to an address that is not public, and that is not allowed here."
    ),
    Fault.NO_CONNECTION: _("Nothing answered there."),
    Fault.NOT_TRUSTED: _("No trusted TLS connection came about: look at its certificate."),
    Fault.TOO_SLOW: _("It took longer than 10 seconds."),
    Fault.BROKEN_OFF: _("The connection broke off, or what came was no HTTP answer."),
    Fault.MOVED: _("It says that it has moved. Enter the new address."),
    Fault.TOO_MANY_MOVES: _("It was sent on more than three times."),
    Fault.MOVED_WITHOUT_TLS: _("It was sent on from https to http, which is not followed."),
    Fault.SECRET_UNREADABLE: _(
        "The secret cannot be read: the site's SECRET_KEY is another one. Make a new secret."
    ),
    Fault.CHANGE_NOT_KEPT: _("The change is no longer kept. Give it up."),
    Fault.NEVER_ENDED: _("It was begun again and again and never ended."),
    Fault.WORDS_MISSING: _("The connected system has no word for something in it."),
}
# Of these a person at the server can make something.
_NEEDS_SERVER = {Fault.NOT_ALLOWED}


def answer_words(status: int | None, fault: str) -> list[str]:
    """What came of a try, a sentence each; empty when it was not tried."""
    words = [] if status is None else [_("It answered %(status)d.") % {"status": status}]
    if fault:
        words.append(str(FAULT_WORDS[Fault(fault)]))
        if Fault(fault) in _NEEDS_SERVER:
            words.append(str(HOW_TO_ALLOW))
    return [str(one) for one in words]
