"""Cases as they come to be reported, and their reports as a reader finds them."""

import io
import uuid

from PIL import Image

from diagnostics.models import Case, Sighting
from diagnostics.selectors.case_report import sheet
from diagnostics.services import photos
from diagnostics.services.photos import About, SentPhoto
from diagnostics.views.case_report import SHEET
from plant import typesetting
from plant.models import User
from plant.roles import Role
from tests import pdf_reader
from tests.diagnostics.factories import NOW, later, make_person, make_walk_down


def pdf_of(case: Case, reader: User | None = None) -> bytes:
    row = Case.objects.select_related("conveyor__plant", "repeat_of").get(pk=case.pk)
    made = sheet.case_report(row, reader or make_person(Role.TECHNICIAN, row.conveyor.plant))
    return typesetting.pdf_of(SHEET, made.values, made.recorded_until)


def words_of(case: Case) -> str:
    return pdf_reader.words_of(pdf_of(case))


def look_often(case: Case, times: int, *, note: str = "") -> None:
    """Many looks at once, round the carrying idlers again and again."""
    walk_down = make_walk_down(case)
    Sighting.objects.bulk_create(
        Sighting(
            walk_down=walk_down,
            station=f"I{number % 45 + 1}",
            run="carrying",
            position_m=1 + 1.3 * (number % 45),
            load="loaded" if number % 2 else "empty",
            degree="half",
            side="right",
            note=note if number == 0 else "",
            seen_at=NOW,
        )
        for number in range(times)
    )


def take_photos(case: Case, number: int, *, caption: str = "bracket bent") -> None:
    photos.take_photos(
        case_id=case.pk,
        sent=[SentPhoto(uuid.uuid4(), _jpeg(20 * grey)) for grey in range(number)],
        about=About(place="R9", caption=caption),
        by=None,
        now=later(hours=1),
    )


def _jpeg(grey: int) -> bytes:
    """Two like pictures would be one in a PDF."""
    file = io.BytesIO()
    Image.new("RGB", (640, 480), (grey, grey, grey)).save(file, "JPEG")
    return file.getvalue()
