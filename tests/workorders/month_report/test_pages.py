"""Pages of the monthly report: who asks, what is told, who may not."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from plant.roles import Role
from tests.workorders.factories import make_conveyor, make_plant
from tests.workorders.month_report.rows import NOW, OCTOBER, ask, kept, made, make_cases
from tests.workorders.pages import client_of
from workorders.models import MonthlyReport, MonthlyReportSetting
from workorders.month_report_shown import paper
from workorders.services.month_reports import making

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _middle_of_november(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    monkeypatch.setattr(paper, "pdf_of", lambda _told: b"%PDF-1.7 set")


def page(client: Client, name: str, *args: object, status: int = 200) -> str:
    response = client.get(reverse(name, args=args))
    assert response.status_code == status
    return response.content.decode()


def test_a_planner_asks_watches_reads_and_takes_the_file(plant, planner):
    make_cases(make_conveyor(plant, tag="Q30"), "2026-10-05", "2026-10-06")

    assert "None yet. Choose a month above" in page(planner, "monthly-reports")
    asked = planner.post(reverse("monthly-reports-of", args=["LT"]), {"month": "2026-10"})
    report = MonthlyReport.objects.get()
    assert asked["Location"] == reverse("monthly-report", args=[report.pk])
    assert "It is taken up within seconds." in page(planner, "monthly-report", report.pk)
    making.do_owed()

    told = page(planner, "monthly-report", report.pk)
    assert "Belts in October 2026" in told
    assert "2 cases were opened" in told
    assert reverse("conveyor-trend", args=["LT", "Q30"]) in told
    file = planner.get(reverse("monthly-report-file", args=[report.pk]))
    assert file["Content-Disposition"] == 'attachment; filename="LT-2026-10.pdf"'
    assert b"".join(file.streaming_content) == b"%PDF-1.7 set"
    assert "October 2026" in page(planner, "monthly-reports")


@pytest.mark.parametrize("typed", ["", "October", "2026-13", "1949-01", "2026-10-01"])
def test_a_month_that_is_none_is_refused_at_its_field(plant, planner, typed):
    response = planner.post(reverse("monthly-reports-of", args=["LT"]), {"month": typed})

    assert response.status_code == 400
    assert response.context["form"].errors["month"]
    assert not MonthlyReport.objects.exists()


def test_a_month_to_come_is_refused_in_words(plant, planner):
    response = planner.post(reverse("monthly-reports-of", args=["LT"]), {"month": "2026-12"})

    assert response.status_code == 409
    assert "2026-12 has not begun yet." in response.content.decode()


def test_progress_is_asked_for_until_it_has_ended(plant, planner):
    report = ask(plant)
    MonthlyReport.objects.update(worked_at=NOW, progress=0.4)
    address = reverse("monthly-report-progress", args=[report.pk])

    running = planner.get(address)
    assert "HX-Refresh" not in running
    assert "40\xa0%" in running.content.decode()
    planner.post(reverse("monthly-report-stop", args=[report.pk]))
    assert "It stops as soon as it can." in page(planner, "monthly-report", report.pk)

    MonthlyReport.objects.update(state="stopped", ended_at=NOW)
    assert planner.get(address)["HX-Refresh"] == "true"
    assert "Nothing of it was kept." in page(planner, "monthly-report", report.pk)


def test_an_older_report_of_the_month_leads_to_the_newer(plant, planner, monkeypatch):
    older = made(plant)
    monkeypatch.setattr(timezone, "now", lambda: NOW.replace(hour=15))
    again = planner.post(reverse("monthly-report-again", args=[older.pk]))
    making.do_owed()

    assert "There is a newer report of this month" in page(planner, "monthly-report", older.pk)
    newer = MonthlyReport.objects.exclude(pk=older.pk).get()
    assert again["Location"] == reverse("monthly-report", args=[newer.pk])
    assert "There is a newer report" not in page(planner, "monthly-report", newer.pk)


def test_deleting_asks_first(plant, lead):
    report = made(plant)
    address = reverse("monthly-report-delete", args=[report.pk])

    assert "Delete the report of October 2026?" in lead.get(address).content.decode()
    assert MonthlyReport.objects.exists()
    gone = lead.post(address, follow=True)

    assert "The report of October 2026 is deleted." in gone.content.decode()
    assert not MonthlyReport.objects.exists()


def test_one_that_is_being_made_is_not_deleted_and_says_why(plant, lead):
    report = ask(plant)

    refused = lead.post(reverse("monthly-report-delete", args=[report.pk]))

    assert refused.status_code == 409
    assert "Stop it first." in refused.content.decode()


def test_a_failed_one_says_what_to_do(plant, planner):
    report = ask(plant)
    MonthlyReport.objects.update(state="failed", refusal="failed", ended_at=NOW)

    assert "Make it again." in page(planner, "monthly-report", report.pk)
    planner.post(reverse("monthly-report-again", args=[report.pk]))
    assert MonthlyReport.objects.get().is_owed


def test_figures_of_an_older_shape_leave_the_file(plant, planner):
    report = made(plant)
    MonthlyReport.objects.update(figures={"format": 0})

    told = page(planner, "monthly-report", report.pk)
    assert "It was kept in an older shape" in told
    assert "Open the PDF" in told


def test_a_file_that_is_gone_from_the_store_is_not_there(plant, planner):
    report = made(plant)
    report.file.storage.delete(report.file.name)

    page(planner, "monthly-report-file", report.pk, status=404)


def test_the_table_of_a_chart_is_taken_away(plant, planner):
    make_cases(make_conveyor(plant, tag="Q30"), "2026-10-05")
    report = made(plant)

    address = reverse("monthly-report", args=[report.pk])
    lines = planner.get(address, {"table": "course"}).content.decode().splitlines()

    assert lines[-1] == "2026-10,1,0"
    assert planner.get(address, {"table": "nothing"}).status_code == 404


def test_the_lead_sets_that_it_is_made_by_itself(plant, lead):
    person = plant.people.get()
    address = reverse("monthly-report-setting", args=["LT"])
    assert "make it by itself every month" in lead.get(address).content.decode()

    kept = lead.post(
        address, {"is_on": "on", "day": "3", "recipients": [person.pk], "seen": "0"}, follow=True
    )

    assert "on day 3 of each month" in kept.content.decode()
    assert str(person) in kept.content.decode()
    stale = lead.post(address, {"day": "4", "seen": "0"})
    assert stale.status_code == 409
    assert "Somebody set this meanwhile." in stale.content.decode()
    assert MonthlyReportSetting.objects.get().is_on


@pytest.mark.parametrize(
    ("filled", "field"),
    [
        ({"day": "29", "seen": "0"}, "day"),
        ({"day": "", "seen": "0"}, "day"),
        ({"day": "3", "recipients": ["999999"], "seen": "0"}, "recipients"),
        ({"day": "3", "recipients": ["x"], "seen": "0"}, "recipients"),
        ({"day": "3", "seen": "-1"}, "seen"),
    ],
)
def test_what_cannot_be_set_names_its_field(plant, lead, filled, field):
    response = lead.post(reverse("monthly-report-setting", args=["LT"]), filled)

    assert response.status_code == 400
    assert field in response.context["form"].errors
    assert not MonthlyReportSetting.objects.exists()


def test_hands_read_reports_and_make_none(plant, technician):
    report = made(plant)

    told = page(technician, "monthly-report", report.pk)
    assert "Open the PDF" in told
    assert "Make it again" not in told
    for name in ("monthly-report-again", "monthly-report-stop", "monthly-report-delete"):
        assert technician.post(reverse(name, args=[report.pk])).status_code == 403
    asked = technician.post(reverse("monthly-reports-of", args=["LT"]), {"month": "2026-10"})
    assert asked.status_code == 403
    page(technician, "monthly-report-setting", "LT", status=403)


def test_a_planner_neither_deletes_nor_sets_it(plant, planner):
    report = made(plant)

    page(planner, "monthly-report-delete", report.pk, status=403)
    page(planner, "monthly-report-setting", "LT", status=403)


def test_another_plants_reports_are_not_there(plant):
    report = made(plant)
    stranger = client_of(Role.LEAD, make_plant())

    for name in ("monthly-report", "monthly-report-file", "monthly-report-delete"):
        page(stranger, name, report.pk, status=404)
    page(stranger, "monthly-reports-of", "LT", status=404)
    page(stranger, "monthly-report-setting", "LT", status=404)


def test_the_list_asks_no_more_for_more_reports(plant, planner):
    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            page(planner, "monthly-reports")
        return len(asked)

    kept(plant)
    # The first look also fills what is kept for the next ones.
    queries()
    few = queries()
    for back in range(1, 20):
        kept(plant, OCTOBER.ahead(-back))

    assert queries() == few
