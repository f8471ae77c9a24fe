"""What people see when something is wrong: the same sheet, plain words, a way on."""

import pytest
from django.core.exceptions import SuspiciousOperation
from django.test import Client, RequestFactory, override_settings
from django.urls import reverse
from django.views import defaults

from plant.roles import Role
from tests.plant.factories import make_person, make_plant, signed_in


def test_a_broken_page_is_said_without_the_database():
    response = defaults.server_error(RequestFactory().get("/"))

    text = response.content.decode()
    assert response.status_code == 500
    assert "Something broke on our side" in text
    assert "plant/sheet.css" in text


def test_a_bad_request_is_said_without_the_database():
    response = defaults.bad_request(RequestFactory().get("/"), SuspiciousOperation("secret"))

    assert response.status_code == 400
    assert "This could not be understood" in response.content.decode()
    assert "secret" not in response.content.decode()


@pytest.mark.django_db
def test_what_is_not_there_is_said_on_the_persons_own_sheet():
    person = make_person(Role.CLERK, plants=[make_plant()], display_name="Odile Brannock")

    response = signed_in(person).get("/no/such/sheet/")

    text = response.content.decode()
    assert response.status_code == 404
    assert "There is nothing here" in text
    assert "Odile Brannock" in text
    assert reverse("knowledge") in text


@pytest.mark.django_db
def test_a_stranger_learns_nothing_from_a_wrong_address():
    response = Client().get("/no/such/sheet/")

    assert response.status_code == 404
    assert reverse("knowledge") not in response.content.decode()


@pytest.mark.django_db
def test_what_a_role_may_not_do_is_said_with_a_next_step():
    response = signed_in(make_person(Role.CLERK, plants=[make_plant()])).get(reverse("people"))

    assert response.status_code == 403
    assert "ask your administrator" in response.content.decode()


@pytest.mark.django_db
@override_settings(ROOT_URLCONF="tests.plant.broken_site")
def test_a_defect_shows_nothing_of_its_inside():
    person = make_person(Role.CLERK, plants=[make_plant()])
    client = signed_in(person)
    client.raise_request_exception = False

    response = client.get("/breaks/")

    assert response.status_code == 500
    assert "Something broke on our side" in response.content.decode()
    assert "inside of the machine" not in response.content.decode()
