"""The report beside a status file: what became of each row."""

import csv
import io
from collections.abc import Iterator

from django.conf import settings
from django.utils import translation

from plant.exports import cell_of
from workorders import status_words
from workorders.models import StatusFile, StatusRow

HEADER = ("row", "order", "outcome", "code", "why")
SUFFIX = ".report.csv"


def report_lines(file: StatusFile) -> Iterator[bytes]:
    """CSV as our other files for machines: UTF-8 without a mark, header first."""
    yield _line(HEADER)
    with translation.override(settings.LANGUAGE_CODE):
        if file.refusal:
            why = status_words.file_words(file.refusal, file.values)
            yield _line(("", "", file.ends_as or file.state, file.refusal, why))
    for row in StatusRow.objects.filter(file=file).order_by("row_number").iterator():
        yield _line((row.row_number, row.order_named, row.outcome, row.code, row.why))


def _line(cells: tuple[object, ...]) -> bytes:
    written = io.StringIO(newline="")
    csv.writer(written).writerow([cell_of(cell) for cell in cells])
    return written.getvalue().encode()
