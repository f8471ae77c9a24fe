"""A walk without signal in real Chromium: whatever happens to phone and site, nothing is lost."""

import re
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any

import pytest
from django.core.servers.basehttp import ThreadedWSGIServer
from django.test.testcases import LiveServerThread
from django.utils import timezone
from playwright.sync_api import Playwright, expect
from pytest_django.live_server_helper import LiveServer

from diagnostics.case_states import CaseState
from diagnostics.class_words import CLASS_WORDS
from diagnostics.models import Case, Photo, Sighting, WalkDown
from diagnostics.services import cases, diagnosing
from plant.models import User
from plant.roles import Role
from tests.browser.pocket.phone import PocketPhone, phone_of
from tests.diagnostics.factories import make_case
from tests.loud_list import not_here
from tests.plant.drawn_pictures import a_jpeg
from tests.plant.factories import make_complete_conveyor, make_person, make_plant

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

Phones = Callable[..., PocketPhone]


@pytest.fixture
def case() -> Case:
    plant = make_plant(code="LT", name="Larkwater Terminal")
    return make_case(
        make_complete_conveyor(
            plant, tag="Q30", name="Quay conveyor", left_words="sea side", right_words="shed side"
        )
    )


@pytest.fixture
def technician(case: Case) -> User:
    return make_person(Role.TECHNICIAN, plants=[case.conveyor.plant])


@pytest.fixture
def phones(
    playwright: Playwright,
    browser_type_launch_args: dict[str, Any],
    tmp_path: Path,
    live_server: LiveServer,
) -> Iterator[Phones]:
    with ExitStack() as stack:

        def make(person: User, disk: Path = tmp_path, site: str = "") -> PocketPhone:
            folder = disk / f"phone-{person.pk}"
            made = phone_of(
                person, playwright, browser_type_launch_args, folder, site or live_server.url
            )
            return stack.enter_context(made)

        yield make


@pytest.mark.slow
def test_sixty_looks_and_five_photos_survive_a_dead_battery_and_come_in_once(
    phones: Phones, case: Case, technician: User
):
    phone = phones(technician)
    phone.take_along(case)
    phone.offline()
    phone.begin()
    stops = int(re.search(r"of (\d+)", phone.page.locator(".count").inner_text()).group(1))
    for number in range(60):
        phone.page.goto(f"/walk/{case.number}/#/at/{number % stops + 1}")
        phone.look("centred" if number % 3 else re.compile("^half right"))
        if number % 12 == 0:
            phone.page.goto(f"/walk/{case.number}/#/at/{number % stops + 1}")
            phone.add_photo(a_jpeg(640 + number, 480))
    phone.waits(66)

    phone.die()
    phone.wake(offline=True)
    phone.open(case)
    phone.waits(66)
    phone.online()
    phone.waits(0)

    assert WalkDown.objects.count() == 1
    assert Sighting.objects.count() == 60
    assert Sighting.objects.filter(degree="half", side="right").count() == 20
    assert Photo.objects.count() == 5
    assert set(Photo.objects.values_list("taken_by", flat=True)) == {technician.pk}
    # In the order in which they were made.
    order = Sighting.objects.order_by("seen_at", "pk").values_list("station", flat=True)
    assert len(set(order[:stops])) == stops
    phone.page.reload()
    phone.waits(0)
    assert Sighting.objects.count() == 60


class _SamePort(ThreadedWSGIServer):
    """Started anew at once where another one has just stopped."""

    def server_bind(self) -> None:
        self.allow_reuse_address = True
        super().server_bind()


@pytest.mark.slow
def test_a_site_that_is_started_anew_in_the_middle_is_waited_for(
    phones: Phones, case: Case, technician: User, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(LiveServerThread, "server_class", _SamePort)
    server = LiveServer("localhost")
    phone = phones(technician, site=server.url)
    phone.take_along(case)
    phone.begin()
    for _number in range(3):
        phone.look()
    phone.waits(0)

    # What the site took in but could not answer any more is sent again and known.
    phone.context.route("**/entries/", _take_in_and_die, times=1)
    with phone.page.expect_event("requestfailed"):
        phone.look(re.compile("^half left"))
    server.stop()
    for _number in range(3):
        phone.look()
    expect(phone.page.locator("#top-line")).to_contain_text("To be sent")
    server = LiveServer(server.url.removeprefix("http://"))
    try:
        phone.online()
        phone.waits(0)
    finally:
        server.stop()

    assert Sighting.objects.count() == 7
    assert WalkDown.objects.count() == 1


@pytest.mark.slow
def test_a_site_in_trouble_is_asked_again(phones: Phones, case: Case, technician: User):
    phone = phones(technician)
    phone.take_along(case)
    phone.begin()
    phone.waits(0)
    phone.context.route("**/pocket/**", lambda route: route.fulfill(status=502, body="starting"))

    phone.look()
    expect(phone.page.locator("#top-line")).to_contain_text("the site does not answer")
    phone.context.unroute_all(behavior="wait")
    phone.waits(0)

    assert Sighting.objects.count() == 1


def _take_in_and_die(route: Any) -> None:
    route.fetch()
    route.abort("connectionreset")


@pytest.mark.slow
def test_two_phones_on_one_case_see_each_other_and_a_person_chooses(
    phones: Phones, case: Case, technician: User
):
    other = make_person(Role.TECHNICIAN, plants=[case.conveyor.plant])
    first, second = phones(technician), phones(other)
    for phone in (first, second):
        phone.take_along(case)
    second.offline()
    second.begin()
    second.look(re.compile("^half left"))
    first.begin()
    first.look(re.compile("^half right"))
    first.waits(0)

    second.online()
    expect(second.page.locator("#top-line")).to_contain_text("To be decided: 1")
    second.page.goto(f"/walk/{case.number}/#/summary")
    expect(
        second.page.get_by_role("heading", name="Two people saw different things")
    ).to_be_visible()
    expect(second.page.get_by_text(re.compile("half left")).first).to_be_visible()
    expect(second.page.get_by_text(re.compile("half right")).first).to_be_visible()
    assert Sighting.objects.count() == 2
    second.tap("button", "Mine counts")
    expect(second.page.locator("#top-line")).not_to_contain_text("To be decided")
    second.waits(0)

    assert WalkDown.objects.count() == 2
    assert Sighting.objects.get(taken_back_at__isnull=True).side == "left"


@pytest.mark.slow
def test_a_clock_that_is_hours_off_dates_nothing_wrong(
    phones: Phones, case: Case, technician: User
):
    phone = phones(technician)
    # Five hours ahead, all the time.
    phone.page.add_init_script(
        "const real = Date.now; Date.now = () => real.call(Date) + 5 * 3600 * 1000;"
    )
    phone.take_along(case)
    phone.offline()
    phone.begin()
    phone.look()
    phone.online()
    phone.waits(0)

    seen = Sighting.objects.get()
    assert abs((timezone.now() - seen.seen_at).total_seconds()) < 120
    assert seen.seen_at >= WalkDown.objects.get().started_at


@pytest.mark.slow
def test_an_expired_sign_in_keeps_everything_until_the_person_is_back(
    phones: Phones, case: Case, technician: User
):
    phone = phones(technician)
    phone.take_along(case)
    phone.begin()
    phone.sign_out()
    phone.look()
    phone.look(re.compile("^half right"))
    expect(phone.page.get_by_role("link", name="sign in again")).to_be_visible()

    # Somebody else's sign-in on this phone does not send it as theirs.
    phone.sign_in(make_person(Role.TECHNICIAN, plants=[case.conveyor.plant]))
    phone.online()
    expect(phone.page.locator("#top-line")).to_contain_text("entries of another person")
    assert not Sighting.objects.exists()

    phone.sign_out()
    phone.sign_in(technician)
    phone.online()
    phone.waits(0)
    assert set(Sighting.objects.values_list("seen_by", flat=True)) == {technician.pk}
    assert Sighting.objects.count() == 2


@pytest.mark.slow
def test_a_full_phone_says_so_and_loses_nothing_it_has(
    phones: Phones, case: Case, technician: User, tiny_disk: Path
):
    phone = phones(technician, tiny_disk)
    phone.take_along(case)
    phone.offline()
    phone.begin()
    phone.look()
    filler = tiny_disk / "films of the children"
    _fill(filler)

    # What the store has set aside for itself may still take a look or two.
    alert = phone.page.get_by_role("alert")
    kept = 1
    while not alert.is_visible():
        station = phone.station
        phone.tap("button", re.compile("^half right"))
        expect(alert.or_(phone.page.get_by_text(f"Kept: {station}").first)).to_be_visible()
        kept += not alert.is_visible()
        assert kept < 200
    expect(alert).to_contain_text("storage is full")
    assert phone.station == station
    filler.unlink()
    phone.look(re.compile("^half right"))
    phone.online()
    phone.waits(0)

    assert Sighting.objects.count() == kept + 1


def _fill(file: Path) -> None:
    with file.open("wb", buffering=0) as stream, suppress(OSError):
        while True:
            stream.write(b"x" * 65536)


@pytest.fixture
def tiny_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own that can be filled up."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=80m", "none", str(folder)],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        not_here("no small disk can be mounted to fill up (it takes root)")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


@pytest.mark.slow
def test_a_case_that_ends_meanwhile_gives_nothing_away(
    phones: Phones, case: Case, technician: User
):
    phone = phones(technician)
    phone.take_along(case)
    phone.begin()
    phone.waits(0)
    phone.offline()
    phone.look()
    cases.move_case(
        case_id=case.pk, to_state=CaseState.CANCELLED, by=None, now=timezone.now(), why="double"
    )
    phone.online()
    expect(phone.page.locator("#top-line")).to_contain_text("To be decided: 1")
    cases.move_case(
        case_id=case.pk, to_state=CaseState.OPEN, by=None, now=timezone.now(), why="is none"
    )
    phone.page.goto(f"/walk/{case.number}/#/summary")
    expect(phone.page.get_by_role("heading", name="Refused by the site")).to_be_visible()
    phone.tap("button", "Try again")
    expect(phone.page.locator("#top-line")).not_to_contain_text("To be decided")
    phone.waits(0)

    assert Sighting.objects.count() == 1


@pytest.mark.slow
def test_what_the_phone_suspects_without_signal_the_site_suspects_too(
    phones: Phones, case: Case, technician: User
):
    phone = phones(technician)
    phone.take_along(case)
    phone.offline()
    phone.begin()
    for number in range(18):
        phone.look(re.compile("^half left") if 9 <= number <= 14 else "centred")
    shown = phone.suspected()
    phone.online()
    phone.waits(0)
    diagnosing.diagnose_case(case_id=case.pk, now=timezone.now())

    made = case.diagnoses.get(superseded_at__isnull=True)
    first = [(one["class"], one["probability"]) for one in made.answer["classes"][:3]]
    assert [words for words, _share in shown] == [str(CLASS_WORDS[name]) for name, _share in first]
    for (_words, share), (_name, probability) in zip(shown, first, strict=True):
        assert share == pytest.approx(probability, abs=0.011)
