"""Words that several parts of a belt's page share."""

from django.utils.translation import gettext as _

from diagnostics.class_words import class_words


def family_words(family: str) -> str:
    return str(class_words(family)) if family else _("not known yet")


def nothing_words() -> str:
    return _(
        "No case on this belt in this period. Choose a longer one, or take a complaint when the "
        "belt mistracks."
    )


def waiting_words() -> str:
    """Of a plant so large that its figures are reckoned in the background."""
    return _(
        "The plant's figures for this choice are being reckoned. Load the page again in a minute; "
        "everything else on it stands already."
    )
