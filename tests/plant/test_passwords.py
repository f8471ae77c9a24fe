"""One's own password, one-time passwords, links by mail."""

import re
import smtplib
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import PasswordLink, User
from plant.roles import Role
from plant.services import passwords
from tests.plant.factories import PASSWORD, make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db
NEW = "take-up-carriage-9"
NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)


@pytest.fixture
def technician() -> User:
    return make_person(Role.TECHNICIAN, plants=[make_plant()])


def change(client: Client, old: str = PASSWORD, new: str = NEW, again: str = ""):
    typed = {"old_password": old, "new_password1": new, "new_password2": again or new}
    return client.post(reverse("password-change"), typed)


def ask(address: str) -> None:
    response = Client().post(reverse("password-forgotten"), {"address": address})
    assert response["Location"] == reverse("password-forgotten-sent")


def link_in(mail) -> str:
    found = re.search(r"http://testserver(/password/new/\S+)", mail.body)
    assert found
    return found[1]


class TestOnesOwn:
    def test_is_changed_and_the_session_goes_on(self, technician: User):
        client = signed_in(technician)

        response = change(client)

        assert response["Location"] == reverse("today")
        assert client.get(reverse("today")).status_code == 200
        technician.refresh_from_db()
        assert technician.check_password(NEW)

    def test_change_signs_out_the_other_devices(self, technician: User):
        here, there = signed_in(technician), signed_in(technician)

        change(here)

        assert there.get(reverse("today")).status_code == 302

    @pytest.mark.parametrize(
        ("old", "new", "again", "said"),
        [
            ("wrong", NEW, NEW, "incorrectly"),
            (PASSWORD, NEW, "another-one-8", "match"),
            (PASSWORD, PASSWORD, PASSWORD, "the password you have"),
            (PASSWORD, "short", "short", "too short"),
            (PASSWORD, "password123", "password123", "too common"),
            (PASSWORD, "84736251940", "84736251940", "entirely numeric"),
        ],
    )
    def test_is_refused_with_the_reason(
        self, technician: User, old: str, new: str, again: str, said: str
    ):
        response = change(signed_in(technician), old, new, again)

        assert said in response.content.decode()
        technician.refresh_from_db()
        assert technician.check_password(PASSWORD)

    def test_is_asked_of_nobody_who_is_not_signed_in(self):
        assert change(Client()).status_code == 302


class TestOneTime:
    @pytest.fixture
    def password(self, technician: User) -> str:
        return passwords.give_one_time_password(user=technician, by=make_person(Role.ADMINISTRATOR))

    @pytest.fixture
    def client(self, technician: User, password: str) -> Client:
        client = Client()
        client.post(reverse("sign-in"), {"username": technician.username, "password": password})
        return client

    def test_can_be_read_aloud(self, password: str):
        assert re.fullmatch(r"([a-z2-9]{4}-){3}[a-z2-9]{4}", password)
        assert not set(password) & set("il1o0j")

    def test_opens_only_the_page_where_ones_own_is_chosen(self, client: Client):
        for name in ("today", "search", "knowledge"):
            assert client.get(reverse(name))["Location"] == reverse("password-change")

        text = client.get(reverse("password-change")).content.decode()
        assert "Choose a password of your own" in text

    def test_lets_one_sign_out(self, client: Client):
        assert client.post(reverse("sign-out"))["Location"] == reverse("sign-in")

    def test_sends_a_part_of_a_page_to_the_whole_page(self, client: Client):
        response = client.get(reverse("today"), headers={"HX-Request": "true"})

        assert response["HX-Redirect"] == reverse("password-change")

    def test_is_used_up_by_choosing_ones_own(self, client: Client, password: str):
        response = change(client, password)

        assert response["Location"] == reverse("today")
        assert client.get(reverse("today")).status_code == 200

    def test_cannot_be_chosen_as_ones_own(self, client: Client, password: str):
        change(client, password, password)

        assert client.get(reverse("today"))["Location"] == reverse("password-change")

    def test_signs_out_whoever_is_in_with_the_old_one(self, technician: User):
        inside = signed_in(technician)

        passwords.give_one_time_password(user=technician, by=technician)

        assert inside.get(reverse("today"))["Location"].startswith(reverse("sign-in"))


class TestLink:
    def test_is_mailed_and_lets_one_choose(self, technician: User, mailoutbox):
        ask(technician.email)
        assert passwords.send_owed_links() == 1
        client = Client()
        page = client.get(link_in(mailoutbox[0]), follow=True)

        response = client.post(
            page.redirect_chain[-1][0], {"new_password1": NEW, "new_password2": NEW}
        )

        assert mailoutbox[0].to == [technician.email]
        assert technician.username in mailoutbox[0].body
        assert response["Location"] == reverse("sign-in")
        technician.refresh_from_db()
        assert technician.check_password(NEW)

    def test_uses_up_a_one_time_password_too(self, technician: User, mailoutbox):
        passwords.give_one_time_password(user=technician, by=technician)
        ask(technician.email)
        passwords.send_owed_links()
        client = Client()
        page = client.get(link_in(mailoutbox[0]), follow=True)

        client.post(page.redirect_chain[-1][0], {"new_password1": NEW, "new_password2": NEW})

        technician.refresh_from_db()
        assert not technician.must_change_password

    def test_works_once(self, technician: User, mailoutbox):
        ask(technician.email)
        passwords.send_owed_links()
        link = link_in(mailoutbox[0])
        client = Client()
        page = client.get(link, follow=True)
        client.post(page.redirect_chain[-1][0], {"new_password1": NEW, "new_password2": NEW})

        text = Client().get(link, follow=True).content.decode()

        assert "This link works no more" in text

    def test_with_a_weak_password_keeps_the_form(self, technician: User, mailoutbox):
        ask(technician.email)
        passwords.send_owed_links()
        client = Client()
        page = client.get(link_in(mailoutbox[0]), follow=True)

        response = client.post(
            page.redirect_chain[-1][0], {"new_password1": "short", "new_password2": "short"}
        )

        assert "too short" in response.content.decode()

    @pytest.mark.parametrize("whose", ["MQ", "zz", "%00", "a" * 300])
    def test_that_is_not_whole_says_so(self, whose: str):
        response = Client().get(f"/password/new/{whose}/c1-abc/")

        assert "This link works no more" in response.content.decode()

    def test_for_an_unknown_address_gets_the_same_answer_and_no_mail(
        self, technician: User, mailoutbox, django_assert_num_queries
    ):
        with django_assert_num_queries(7) as known:
            ask(technician.email)
        with django_assert_num_queries(len(known)):
            ask("nobody@larkwater.example")

        passwords.send_owed_links()

        assert [mail.to for mail in mailoutbox] == [[technician.email]]

    def test_for_an_account_out_of_use_is_not_mailed(self, technician: User, mailoutbox):
        User.objects.filter(pk=technician.pk).update(is_active=False)

        ask(technician.email)
        passwords.send_owed_links()

        assert mailoutbox == []

    def test_goes_to_the_address_in_the_register_not_to_the_one_typed(
        self, technician: User, mailoutbox
    ):
        ask(technician.email.upper())
        passwords.send_owed_links()

        assert mailoutbox[0].to == [technician.email]

    def test_asked_again_at_once_is_mailed_once(self, technician: User, mailoutbox):
        for _ in range(3):
            ask(technician.email)
            passwords.send_owed_links()

        assert len(mailoutbox) == 1

    def test_asked_again_later_is_mailed_again(self, technician: User):
        def asked_at(moment: datetime) -> None:
            passwords.ask_for_link(address=technician.email, site="https://a.example", now=moment)

        asked_at(NOW)
        PasswordLink.objects.update(sent_at=NOW)
        asked_at(NOW + timedelta(minutes=6))

        owed = PasswordLink.objects.get()
        assert owed.sent_at is None
        assert owed.asked_at == NOW + timedelta(minutes=6)

    def test_stays_owed_while_the_mail_server_is_silent(
        self, technician: User, monkeypatch, mailoutbox
    ):
        def silent(*_args: object, **_kwargs: object) -> None:
            raise smtplib.SMTPServerDisconnected("gone")

        ask(technician.email)
        with monkeypatch.context() as patched:
            patched.setattr(passwords, "send_mail", silent)
            assert passwords.send_owed_links() == 0
        assert passwords.send_owed_links() == 0, "the pause is kept"
        PasswordLink.objects.update(try_at=NOW)

        assert passwords.send_owed_links() == 1
        assert len(mailoutbox) == 1

    def test_is_given_up_after_an_hour(self, technician: User, mailoutbox):
        passwords.ask_for_link(address=technician.email, site="https://a.example", now=NOW)

        assert passwords.send_owed_links() == 0
        assert mailoutbox == []

    def test_floods_neither_the_table_nor_anybody(self, monkeypatch):
        monkeypatch.setattr(passwords, "_MOST_OWED", 3)

        for number in range(6):
            ask(f"nobody{number}@larkwater.example")

        assert PasswordLink.objects.count() == 3

    @pytest.mark.parametrize("address", ["", "no address", "a\x00b@c.example", "x" * 400])
    def test_for_what_is_no_address_is_refused_in_the_form(self, address: str):
        response = Client().post(reverse("password-forgotten"), {"address": address})

        assert response.status_code == 400
        assert "errorlist" in response.content.decode() or 'class="error"' in (
            response.content.decode()
        )

    def test_is_sent_by_the_sweep_of_what_is_owed(self, technician: User, mailoutbox):
        from plant import owed

        ask(technician.email)
        owed.run_all()

        assert len(mailoutbox) == 1
