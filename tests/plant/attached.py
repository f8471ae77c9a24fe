"""Pictures and drawings kept with a conveyor, as small as they can be."""

from datetime import UTC, datetime
from typing import Any

from plant.models import Attachment, Component, Conveyor
from plant.services import attaching
from plant.services.attaching import Attached, SentFile
from tests.plant.drawn_pictures import a_jpeg

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def a_pdf(says: str = "Q30 take-up frame") -> bytes:
    """Begins and ends as a PDF; the site opens none."""
    body = f"1 0 obj << /Title ({says}) >> endobj\ntrailer << /Root 1 0 R >>\nstartxref\n9\n"
    return b"%PDF-1.7\n" + body.encode() + b"%%EOF\n"


def attach(conveyor: Conveyor, *sent: SentFile, **how: Any) -> Attached:
    given = {
        "component_id": None,
        "caption": "",
        "takes_documents": True,
        "by": None,
        "now": NOW,
        **how,
    }
    return attaching.attach(conveyor_id=conveyor.pk, sent=sent, **given)


def attach_picture(
    conveyor: Conveyor, component: Component | None = None, **how: Any
) -> Attachment:
    content = how.pop("content", None) or a_jpeg(60, 40)
    how["component_id"] = component.pk if component else None
    (row,) = attach(conveyor, SentFile(content, "IMG_0001.jpg"), **how).kept
    return row


def attach_pdf(conveyor: Conveyor, component: Component | None = None, **how: Any) -> Attachment:
    content = how.pop("content", None) or a_pdf()
    name = how.pop("name", "Q30-TU-001.pdf")
    how["component_id"] = component.pk if component else None
    (row,) = attach(conveyor, SentFile(content, name), **how).kept
    return row
