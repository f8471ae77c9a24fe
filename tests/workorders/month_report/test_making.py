"""A report is asked for once, made in the background, stopped, made again, taken away."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from plant.services.claiming import MOST_BEGINNINGS, SILENCE
from plant.typesetting import TypesettingFailed
from tests import pdf_reader
from tests.workorders.factories import make_conveyor, make_plant
from tests.workorders.month_report.rows import NOW, OCTOBER, ask, made, make_cases
from workorders.models import MonthlyReport
from workorders.month_report_shown import paper
from workorders.services.month_reports import asking, making

pytestmark = pytest.mark.django_db

State = MonthlyReport.State


@pytest.fixture
def plant(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    plant = make_plant(code="LT", name="Larkwater Terminal")
    make_cases(make_conveyor(plant, tag="Q30"), "2026-10-05", "2026-10-06")
    return plant


@pytest.fixture
def set_quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the sheet itself is not asked about."""
    monkeypatch.setattr(paper, "pdf_of", lambda _told: b"%PDF-1.7 set")


def fresh(report: MonthlyReport) -> MonthlyReport:
    return MonthlyReport.objects.get(pk=report.pk)


def test_what_is_owed_is_made_and_kept_with_its_figures(plant):
    report = ask(plant)

    assert making.do_owed() == 1
    assert making.do_owed() == 0

    kept = fresh(report)
    assert (kept.state, kept.progress, kept.ended_at) == (State.MADE, 1.0, NOW)
    assert kept.figures["counts"]["opened"] == 2
    with kept.file.open("rb") as file:
        assert "Belts in October 2026" in pdf_reader.words_of(file.read())


@pytest.mark.usefixtures("set_quickly")
def test_a_late_report_ranks_belts_by_the_cases_up_to_the_months_end(plant):
    later = make_conveyor(plant, tag="P11")
    make_cases(later, "2026-10-30", *(f"2026-11-{day:02d}" for day in range(1, 15)))

    ranking = made(plant).figures["ranking"]

    assert [(one["tag"], one["cases"]) for one in ranking["belts"]] == [("Q30", 2), ("P11", 1)]
    # Eighteen months to the last day of October.
    assert (ranking["first"], ranking["until"]) == ("2025-05-01", "2026-10-31")


def test_asking_twice_asks_once(plant):
    assert ask(plant) == ask(plant)
    assert MonthlyReport.objects.count() == 1


def test_a_month_that_has_not_begun_is_refused(plant):
    with pytest.raises(asking.MonthNotBegun, match="2026-12"):
        ask(plant, OCTOBER.ahead(2))


@pytest.mark.usefixtures("set_quickly")
def test_made_again_is_another_report_beside_the_first(plant):
    first = made(plant)
    make_cases(make_conveyor(plant), "2026-10-07")

    second = asking.make_again(report_id=first.pk, by=None, now=NOW)
    making.do_owed()

    assert fresh(first).figures["counts"]["opened"] == 2
    assert fresh(second).figures["counts"]["opened"] == 3


@pytest.mark.usefixtures("set_quickly")
def test_one_that_nobody_has_begun_stops_at_once(plant):
    report = ask(plant)

    asking.ask_stop(report_id=report.pk, now=NOW)

    assert fresh(report).state == State.STOPPED
    assert making.do_owed() == 0


def test_one_that_is_being_made_hears_the_stop_and_keeps_nothing(plant, monkeypatch):
    report = ask(plant)

    def stopped_meanwhile(_told: Any) -> bytes:
        asking.ask_stop(report_id=report.pk, now=NOW)
        return b"%PDF-1.7"

    monkeypatch.setattr(paper, "pdf_of", stopped_meanwhile)
    making.do_owed()

    kept = fresh(report)
    assert (kept.state, kept.figures, kept.file.name) == (State.STOPPED, {}, "")


@pytest.mark.usefixtures("set_quickly")
def test_a_report_whose_worker_went_silent_is_taken_up_by_another(plant):
    report = ask(plant)
    MonthlyReport.objects.update(worked_at=NOW - SILENCE / 2, times_begun=1)
    assert making.do_owed() == 0

    MonthlyReport.objects.update(worked_at=NOW - SILENCE - timedelta(seconds=1))

    assert making.do_owed() == 1
    assert fresh(report).state == State.MADE


@pytest.mark.usefixtures("set_quickly")
def test_what_killed_three_workers_is_not_begun_again(plant):
    report = ask(plant)
    MonthlyReport.objects.update(times_begun=MOST_BEGINNINGS)

    making.do_owed()

    assert (fresh(report).state, fresh(report).refusal) == (State.FAILED, "begun_too_often")


def test_a_sheet_that_cannot_be_set_ends_it_and_it_can_be_made_again(plant, monkeypatch):
    report = ask(plant)

    def fails(_told: Any) -> bytes:
        raise TypesettingFailed("no")

    monkeypatch.setattr(paper, "pdf_of", fails)
    making.do_owed()
    assert (fresh(report).state, fresh(report).refusal) == (State.FAILED, "failed")

    monkeypatch.setattr(paper, "pdf_of", lambda _told: b"%PDF-1.7")
    again = asking.make_again(report_id=report.pk, by=None, now=NOW)
    making.do_owed()

    assert again == report
    assert (fresh(report).state, fresh(report).refusal) == (State.MADE, "")


def test_one_that_somebody_else_ended_meanwhile_leaves_no_file(plant, monkeypatch):
    report = ask(plant)
    before = list(default_storage.listdir("")[0])

    def ended_meanwhile(_told: Any) -> bytes:
        MonthlyReport.objects.update(state=State.STOPPED)
        return b"%PDF-1.7"

    monkeypatch.setattr(paper, "pdf_of", ended_meanwhile)
    making.do_owed()

    assert fresh(report).state == State.STOPPED
    assert list(default_storage.listdir("")[0]) == before


@pytest.mark.usefixtures("set_quickly")
def test_a_deleted_report_takes_its_file_with_it(plant, django_capture_on_commit_callbacks):
    report = made(plant)

    with django_capture_on_commit_callbacks(execute=True):
        asking.delete(report_id=report.pk)

    assert not MonthlyReport.objects.exists()
    assert not default_storage.exists(report.file.name)


def test_one_that_is_being_made_is_not_deleted(plant):
    report = ask(plant)

    with pytest.raises(asking.ReportIsBeingMade):
        asking.delete(report_id=report.pk)

    assert MonthlyReport.objects.exists()


@pytest.mark.usefixtures("set_quickly")
def test_of_a_month_only_the_latest_are_kept_and_what_went_out(plant):
    sent = made(plant)
    MonthlyReport.objects.filter(pk=sent.pk).update(is_scheduled=True)
    for _again in range(asking.KEPT_A_MONTH + 2):
        made(plant)

    assert MonthlyReport.objects.filter(is_scheduled=False).count() == asking.KEPT_A_MONTH
    assert MonthlyReport.objects.filter(pk=sent.pk).exists()
