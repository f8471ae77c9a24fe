"""The photos of a case, small, the latest of them."""

import logging

from django.utils.translation import gettext as _

from diagnostics.models import Photo
from diagnostics.selectors.case_report import blocks
from diagnostics.selectors.case_report.blocks import Block
from diagnostics.selectors.case_report.recorded import CaseRecord
from plant.models import Plant
from plant.templatetags.sheet import plant_time

logger = logging.getLogger(__name__)

PHOTOS_AT_MOST = 6


def shown(record: CaseRecord) -> Block | None:
    """None without photos; of more than a page holds, the latest, and how many there are."""
    if not record.photos:
        return None
    latest = record.photos[-PHOTOS_AT_MOST:]
    pictures = [(file, _caption(one, record.plant)) for one in latest if (file := _file(one))]
    lost = len(latest) - len(pictures)
    more = {"shown": len(latest), "count": len(record.photos)}
    left_out = _("The latest %(shown)s of %(count)s photos; the page of the case has all.") % more
    unread = _("Photos whose file is not there: %(count)s.") % {"count": lost}
    return blocks.section(
        _("Photos"),
        blocks.text(left_out, soft=True) if len(record.photos) > PHOTOS_AT_MOST else None,
        blocks.text(unread, soft=True) if lost else None,
        blocks.pictures(pictures),
    )


def _file(one: Photo) -> bytes:
    """A file that is gone from the storage leaves the rest of the report as it is."""
    try:
        with one.small_file.open("rb") as file:
            return bytes(file.read())
    except OSError:
        logger.warning("The small file of photo %s is not there.", one.pk)
        return b""


def _caption(one: Photo, plant: Plant) -> str:
    return ", ".join(
        part for part in (one.place, one.caption, plant_time(one.taken_at, plant)) if part
    )
