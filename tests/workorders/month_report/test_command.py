"""`manage.py monthly_report`: makes what the button makes, and refuses in one line."""

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from tests.workorders.factories import make_plant
from tests.workorders.month_report.rows import NOW
from workorders.models import MonthlyReport
from workorders.month_report_shown import paper

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _set_quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    monkeypatch.setattr(paper, "pdf_of", lambda _told: b"%PDF-1.7 set")
    make_plant(code="LT", name="Larkwater Terminal")


def run(**options: str) -> str:
    out = io.StringIO()
    call_command("monthly_report", **options, stdout=out)
    return out.getvalue()


def test_a_report_is_made_listed_and_written_to_the_file(tmp_path: Path):
    file = tmp_path / "report.pdf"

    said = run(plant="LT", month="2026-09", out=str(file))

    assert file.read_bytes() == b"%PDF-1.7 set"
    report = MonthlyReport.objects.get()
    assert (report.month.code, report.is_made) == ("2026-09", True)
    assert said == f"Larkwater Terminal, September 2026: report {report.pk}, {file}\n"


def test_without_a_month_it_is_the_last_that_is_over():
    run(plant="LT")

    assert MonthlyReport.objects.get().month.code == "2026-10"


@pytest.mark.parametrize(
    ("options", "refusal"),
    [
        ({"plant": "LTT"}, r"--plant: no plant has the code 'LTT'. Known: LT\."),
        ({"plant": "LT", "month": "10/2026"}, r"--month: a month is written like 2026-10"),
        ({"plant": "LT", "month": "2027-01"}, r"2027-01 has not begun yet\."),
        ({"plant": "LT", "out": "/no/such/folder/a.pdf"}, r"--out: /no/such/folder/a.pdf: No such"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(options: dict[str, str], refusal: str):
    with pytest.raises(CommandError, match=refusal):
        run(**options)


def test_a_report_that_fails_says_so(monkeypatch: pytest.MonkeyPatch):
    def fails(_told: object) -> bytes:
        raise RuntimeError

    monkeypatch.setattr(paper, "pdf_of", fails)

    with pytest.raises(CommandError, match="The report was not made"):
        run(plant="LT")
