"""A PDF as somebody sends it: kept byte for byte, so that a drawing stays the drawing it was.

Nothing of it is opened here. It is only held to begin and end as a PDF does, and a page hands it
out as a download that no browser runs.
"""

import logging

from django.utils.translation import gettext as _

from plant.errors import DomainError

logger = logging.getLogger(__name__)

MOST_BYTES = 25_000_000
# ISO 32000-2, 7.5.2: the header stands at the very beginning.
BEGINNING = b"%PDF-"
# ISO 32000-2, 7.5.5: the last line says so. Programs leave a little behind it: engineering
# judgement.
_END = b"%%EOF"
_END_WITHIN = 4096
_SHORTEST = 64
_MEGA = 1_000_000


class DocumentRefused(DomainError):
    code = "document_refused"


def begins_as_pdf(content: bytes) -> bool:
    return content.startswith(BEGINNING)


def check_pdf(content: bytes) -> None:
    """Refuse with DocumentRefused what is no whole PDF or too large."""
    if len(content) > MOST_BYTES:
        raise DocumentRefused(too_large(len(content)))
    if not begins_as_pdf(content):
        raise DocumentRefused(
            _("This is no PDF, whatever the file is called. Save the drawing as PDF and send that.")
        )
    if len(content) < _SHORTEST or _END not in content[-_END_WITHIN:]:
        logger.info("A PDF of %d bytes without its end.", len(content))
        raise DocumentRefused(
            _("The PDF was cut off on its way: its end is missing. Save it again and send that.")
        )


def too_large(size: int) -> str:
    return _("The PDF has %(size).1f MB; at most %(most)d MB are taken. Send it in parts.") % {
        "size": size / _MEGA,
        "most": MOST_BYTES // _MEGA,
    }
