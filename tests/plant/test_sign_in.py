"""The door: signing in and out, the lock-out, how long a session lasts."""

import pytest
from django.conf import settings as site_settings
from django.test import Client
from django.urls import reverse

from plant.models import User
from plant.roles import Role
from tests.plant.factories import PASSWORD, make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db
SIGN_IN = reverse("sign-in")


@pytest.fixture
def clerk() -> User:
    return make_person(Role.CLERK, plants=[make_plant()])


def try_to_sign_in(client: Client, username: str, password: str = PASSWORD, **more: str):
    return client.post(SIGN_IN, {"username": username, "password": password, **more})


def test_name_and_password_open_the_today_page(clerk: User):
    response = try_to_sign_in(Client(), clerk.username)

    assert response.status_code == 302
    assert response["Location"] == reverse("today")


def test_signing_in_leads_to_the_page_that_was_asked_for(clerk: User):
    client = Client()
    asked = client.get(reverse("search"), {"q": "quay"})

    response = client.post(asked["Location"], {"username": clerk.username, "password": PASSWORD})

    assert response["Location"] == "/search/?q=quay"


def test_signing_in_never_leads_to_another_site(clerk: User):
    response = try_to_sign_in(Client(), clerk.username, next="https://elsewhere.example/")

    assert response["Location"] == reverse("today")


@pytest.mark.parametrize("change", [str.upper, str.title, lambda name: f"  {name} "])
def test_a_telephones_capital_letter_is_the_same_name(clerk: User, change):
    assert try_to_sign_in(Client(), change(clerk.username)).status_code == 302


def test_a_wrong_password_is_refused_and_the_name_kept(clerk: User):
    response = try_to_sign_in(Client(), clerk.username, "wrong")

    assert response.status_code == 200
    assert "do not belong together" in response.content.decode()
    assert f'value="{clerk.username}"' in response.content.decode()


def test_an_unknown_name_gets_the_same_answer_as_a_wrong_password(clerk: User):
    known = try_to_sign_in(Client(), clerk.username, "wrong").content.decode()
    unknown = try_to_sign_in(Client(), "nobody@larkwater.example", "wrong").content.decode()

    assert _plain(known, clerk.username) == _plain(unknown, "nobody@larkwater.example")


def _plain(text: str, name: str) -> str:
    # The token against forged forms is new on each page.
    lines = text.replace(name, "NAME").splitlines()
    return "\n".join(line for line in lines if "csrfmiddlewaretoken" not in line)


def test_an_account_out_of_use_does_not_open(clerk: User):
    User.objects.filter(pk=clerk.pk).update(is_active=False)

    assert try_to_sign_in(Client(), clerk.username).status_code == 200


@pytest.mark.parametrize("name", ["a\x00b", "x" * 5000, ""])
def test_names_that_cannot_be_are_answered_in_the_form(name: str):
    assert try_to_sign_in(Client(), name).status_code == 200


def test_too_many_tries_lock_and_the_page_says_how_long(clerk: User, settings):
    settings.AXES_ENABLED = True
    client = Client()

    for _ in range(site_settings.AXES_FAILURE_LIMIT):
        response = try_to_sign_in(client, clerk.username, "wrong")

    assert response.status_code == 429
    assert "Wait 15 minutes" in response.content.decode()
    assert try_to_sign_in(client, clerk.username).status_code == 429


def test_another_spelling_of_the_name_does_not_dodge_the_lock(clerk: User, settings):
    settings.AXES_ENABLED = True
    client = Client()
    spellings = [clerk.username, clerk.username.upper(), clerk.username.title()]

    for number in range(site_settings.AXES_FAILURE_LIMIT):
        try_to_sign_in(client, spellings[number % 3], "wrong")

    assert try_to_sign_in(client, clerk.username.upper()).status_code == 429


def test_a_good_sign_in_forgets_the_wrong_tries(clerk: User, settings):
    settings.AXES_ENABLED = True
    client = Client()
    for _ in range(2):
        for _ in range(site_settings.AXES_FAILURE_LIMIT - 1):
            try_to_sign_in(client, clerk.username, "wrong")

        assert try_to_sign_in(client, clerk.username).status_code == 302
        client.post(reverse("sign-out"))


def test_a_session_lasts_a_shift_and_on_ones_own_device_a_month(clerk: User):
    shift, month = Client(), Client()

    try_to_sign_in(shift, clerk.username)
    try_to_sign_in(month, clerk.username, stay="on")

    assert shift.session.get_expiry_age() == 12 * 3600
    assert month.session.get_expiry_age() == 30 * 24 * 3600


def test_a_session_counts_from_the_last_request_but_is_not_written_each_time(clerk: User):
    client = signed_in(clerk)
    first = client.get(reverse("today"))
    second = client.get(reverse("today"))
    session = client.session
    session["renewed_at"] -= 20 * 60
    session.save()

    third = client.get(reverse("today"))

    assert [
        site_settings.SESSION_COOKIE_NAME in answer.cookies for answer in (first, second, third)
    ] == [True, False, True]


def test_signing_out_needs_a_post(clerk: User):
    client = signed_in(clerk)

    assert client.get(reverse("sign-out")).status_code == 405
    assert client.get(reverse("today")).status_code == 200


def test_signing_out_ends_the_session(clerk: User):
    client = signed_in(clerk)

    response = client.post(reverse("sign-out"))

    assert response["Location"] == SIGN_IN
    assert client.get(reverse("today")).status_code == 302


def test_who_is_signed_out_already_is_not_refused_at_signing_out():
    assert Client().post(reverse("sign-out"))["Location"] == SIGN_IN


def test_a_forged_form_is_refused_in_plain_words(clerk: User):
    client = Client(enforce_csrf_checks=True)
    client.force_login(clerk, backend="django.contrib.auth.backends.ModelBackend")

    response = client.post(reverse("sign-out"))

    assert response.status_code == 403
    assert "This page had grown too old" in response.content.decode()
