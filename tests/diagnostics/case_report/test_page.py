"""The address of the report: who gets it, how it is handed out, and what comes when it fails."""

import logging
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.views import case_report
from plant import typesetting
from plant.roles import Role
from tests import pdf_reader
from tests.diagnostics.factories import make_conveyor, make_person, make_plant, make_walk_down, take
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant)).case


def address(case):
    return reverse("case-report", args=[case.number])


@pytest.mark.parametrize("role", list(Role))
def test_whoever_sees_the_case_takes_its_report(role, plant, case):
    response = signed_in(make_person(role, plant)).get(address(case))

    assert response.status_code == HTTPStatus.OK
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'attachment; filename="{case.number}.pdf"'
    assert response["Cache-Control"] == "private, no-store"
    assert case.number in pdf_reader.words_of(response.content)


def test_address_is_that_of_the_case(case):
    assert address(case) == f"/cases/{case.number}/report.pdf"


def test_stranger_is_asked_to_sign_in(case):
    response = Client().get(address(case))

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"].startswith(reverse("sign-in"))


def test_case_of_another_plant_is_not_there(case):
    other = signed_in(make_person(Role.LEAD, make_plant()))

    assert other.get(address(case)).status_code == HTTPStatus.NOT_FOUND


def test_case_that_is_not_there_is_not_found(technician):
    missing = reverse("case-report", args=["LT-C-9999"])

    assert technician.get(missing).status_code == HTTPStatus.NOT_FOUND


def test_nobody_without_a_role_takes_it(plant, case):
    person = make_person(Role.CLERK, plant)
    person.groups.clear()

    assert signed_in(person).get(address(case)).status_code == HTTPStatus.FORBIDDEN


def test_it_is_only_read(technician, case):
    assert technician.post(address(case)).status_code == HTTPStatus.METHOD_NOT_ALLOWED


def test_case_and_summary_of_a_walk_down_lead_to_it(technician, case):
    walk_down = make_walk_down(case)

    for page in (
        reverse("case", args=[case.number]),
        reverse("walk-down-summary", args=[walk_down.pk]),
    ):
        assert f'href="{address(case)}">Report as PDF' in technician.get(page).content.decode()


def test_sheet_that_cannot_be_set_gives_a_page_that_says_so(
    technician, case, monkeypatch, tmp_path, caplog
):
    broken = tmp_path / "broken.typ"
    broken.write_text("#nobody-knows-this")
    monkeypatch.setattr(case_report, "SHEET", broken)

    with caplog.at_level(logging.ERROR, logger="diagnostics"):
        response = technician.get(address(case))

    page = response.content.decode()
    assert response.status_code == HTTPStatus.SERVICE_UNAVAILABLE
    assert "The report could not be made" in page
    assert f'href="{reverse("case", args=[case.number])}"' in page
    assert "unknown variable" not in page
    told = [one for one in caplog.records if one.name == case_report.logger.name]
    assert len(told) == 1
    assert isinstance(told[0].exc_info[1], typesetting.TypesettingFailed)
