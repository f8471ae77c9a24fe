"""Pages of timed looks: set-up, taps, a sensor's file, the answer, taking back."""

import uuid
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from diagnostics.inference.vocabulary import TapEvent
from diagnostics.inference.watching import sensor_file
from diagnostics.models import Case, TimedLook
from diagnostics.services import timed_looks
from plant.loop.vocabulary import Side
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics.factories import (
    a_sensor_file,
    later,
    make_bare_conveyor,
    make_case,
    make_conveyor,
    make_person,
    make_plant,
    make_sensor_look,
    make_timed_look,
)
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db

LINES = "10 over left\n12 back\n15 splice\n71 over left\n73 back\n76.3 splice\n" + (
    "132.5 over left\n134.5 back\n193.7 over left\n195.7 back\n250 end"
)


@pytest.fixture
def case(plant: Plant) -> Case:
    return make_case(make_conveyor(plant))


def tapping(case: Case, **asked: str) -> str:
    given = {"cautions_read": "on", "station": "R5", "load": "loaded", "facing": "head", **asked}
    return f"{reverse('timed-look-tapping', args=[case.number])}?{urlencode(given)}"


def tapped(**typed: str) -> dict[str, str]:
    return {"taps": LINES, "note": "", "client_id": str(uuid.uuid4()), **typed}


def sent(content: bytes | None = None, **typed: object) -> dict[str, object]:
    file = SimpleUploadedFile("edge.csv", a_sensor_file() if content is None else content)
    return {
        "cautions_read": "on",
        "station": "R5",
        "load": "empty",
        "plus_is": "right",
        "started_at": "",
        "note": "left stringer",
        "client_id": str(uuid.uuid4()),
        "file": file,
        **typed,
    }


def sensor(case: Case) -> str:
    return reverse("timed-look-sensor", args=[case.number])


def test_the_set_up_shows_the_cautions_and_the_stations(technician: Client, case: Case):
    text = technician.get(
        reverse("timed-look-new", args=[case.number]) + "?station=R7"
    ).content.decode()

    assert text.index("Stay outside the guards") < text.index('name="station"')
    assert 'value="R7"' in text
    assert '<option value="TP">' in text


def test_the_tapping_page_has_keys_with_the_sides_as_the_person_sees_them(
    technician: Client, case: Case
):
    facing_head = technician.get(tapping(case)).content.decode()
    facing_tail = technician.get(tapping(case, facing="tail")).content.decode()

    for word in ("over left", "over right", "back", "splice"):
        assert f'data-word="{word}"' in facing_head
    assert 'data-turn-s="61.25"' in facing_head
    assert facing_head.index("sea side") < facing_head.index("shed side")
    assert facing_tail.index("shed side") < facing_tail.index("sea side")


def test_taps_are_kept_and_lead_to_what_they_say(technician: Client, case: Case):
    response = technician.post(tapping(case), tapped(), follow=True)

    row = TimedLook.objects.get()
    assert response.redirect_chain[-1][0] == reverse("timed-look", args=[row.pk])
    text = response.content.decode()
    assert "Something travels with the belt" in text
    assert "left (sea side)" in text
    assert "<svg" in text
    assert row.duration_s == 250.0
    assert row.station == "R5"


def test_who_faces_the_tail_has_left_and_right_turned_into_the_registers(
    technician: Client, case: Case
):
    technician.post(tapping(case, facing="tail"), tapped())

    assert TimedLook.objects.get().taps[0] == [10.0, TapEvent.OVER_RIGHT.value]


def test_a_place_may_be_given_in_metres(technician: Client, case: Case):
    technician.post(tapping(case, station="64,0 m"), tapped())

    assert TimedLook.objects.get().station == "R1"


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"cautions_read": ""}, "Read the cautions"),
        ({"station": "R55"}, "Did you mean"),
        ({"station": "999"}, "less than 122.5 m"),
        ({"station": "nan"}, "Write a station"),
        ({"station": ""}, "required"),
        ({"load": "half"}, "valid choice"),
        ({"facing": "up"}, "valid choice"),
    ],
)
def test_a_set_up_that_cannot_be_comes_back_with_what_was_typed(
    technician: Client, case: Case, asked, words
):
    for send in (technician.get, technician.post):
        response = send(tapping(case, **asked))

        assert response.status_code == 400
        assert words in response.content.decode()
    assert not TimedLook.objects.exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"taps": ""}, "Nothing was tapped"),
        ({"taps": "10 over left\nhello"}, "line 2"),
        ({"taps": "10 over left\n9 back"}, "times run forwards"),
        ({"taps": "0 splice"}, "Nothing was timed"),
        ({"note": "n" * 401}, "at most 400"),
    ],
)
def test_taps_that_cannot_be_come_back_with_what_was_typed(
    technician: Client, case: Case, typed, words
):
    response = technician.post(tapping(case), tapped(**{"note": "by the ladder", **typed}))

    text = response.content.decode()
    assert response.status_code in {400, 409}
    assert words in text
    assert f"\n{typed.get('taps', LINES)}</textarea>" in text
    assert f'value="{typed.get("note", "by the ladder")}"' in text
    assert not TimedLook.objects.exists()


def test_the_same_taps_sent_twice_are_kept_once(technician: Client, case: Case):
    typed = tapped()

    for _ in range(2):
        assert technician.post(tapping(case), typed).status_code == 302

    assert TimedLook.objects.count() == 1


def test_the_tapping_page_without_a_set_up_goes_back_to_it(technician: Client, case: Case):
    response = technician.get(reverse("timed-look-tapping", args=[case.number]))

    assert response["Location"] == reverse("timed-look-new", args=[case.number])


def test_a_sensor_file_is_kept_and_leads_to_what_it_says(technician: Client, case: Case):
    response = technician.post(sensor(case), sent(started_at="2026-11-02T09:15"), follow=True)

    row = TimedLook.objects.get()
    text = response.content.decode()
    assert "Something travels with the belt" in text
    assert "All turns laid over each other" in text
    # Halifax is four hours behind in November.
    assert row.started_at.isoformat() == "2026-11-02T13:15:00+00:00"
    assert "2026-11-02 09:15" in text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"time,offset\n0,1\n1,x\n", "row 3, column offset"),
        (b"time,offset\n0,1\n2,1\n1,1\n", "time runs backwards"),
        (b"time,offset\n0,1\n", "at least two"),
        (b"\x89PNG\r\n\x1a\n\0\0", "no text file"),
        (b"time,width\n0,1\n1,1\n", "no column is called offset"),
        (b"", "file is empty"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_at_its_field_and_the_rest_kept(
    technician: Client, case: Case, content, words
):
    response = technician.post(sensor(case), sent(content, plus_is="left"))

    text = response.content.decode()
    assert response.status_code == 400
    assert words in text
    assert text.index('name="file"') < text.index(words) < text.index('name="started_at"')
    assert 'value="left stringer"' in text
    assert 'value="left" required id="id_plus_is_1" checked' in text
    assert not TimedLook.objects.exists()


def test_a_huge_file_is_refused_before_it_is_read(technician: Client, case: Case, monkeypatch):
    monkeypatch.setattr("diagnostics.timed_forms.MOST_BYTES", 1000)

    response = technician.post(sensor(case), sent())

    assert response.status_code == 400
    assert "are read" in response.content.decode()
    assert sensor_file.MOST_BYTES == 50_000_000


def test_a_time_to_come_is_refused(technician: Client, case: Case):
    response = technician.post(sensor(case), sent(started_at="2099-01-01T10:00"))

    assert response.status_code == 409
    assert "began after now" in response.content.decode()


def test_a_look_is_taken_back_and_counted_again(technician: Client, case: Case):
    row = make_timed_look(case)
    address = reverse("timed-look-counts", args=[row.pk])

    for _pressed_twice in range(2):
        back = technician.post(address, {"counts": "no"}, follow=True).content.decode()
    for _pressed_twice in range(2):
        again = technician.post(address, {"counts": "yes"}, follow=True).content.decode()

    assert "it does not count" in back
    assert "Count it again" in back
    assert '<input type="hidden" name="counts" value="yes">' in back
    assert "It counts again" in again
    assert TimedLook.objects.get().taken_back_at is None


def test_the_file_is_taken_away_as_it_came_and_never_shown(technician: Client, case: Case):
    row = make_sensor_look(case)

    response = technician.get(reverse("timed-look-file", args=[row.pk]))

    assert b"".join(response.streaming_content) == a_sensor_file()
    assert response["Content-Disposition"] == 'attachment; filename="edge.csv"'


def test_taps_have_no_file(technician: Client, case: Case):
    row = make_timed_look(case)

    assert technician.get(reverse("timed-look-file", args=[row.pk])).status_code == 404


def test_a_case_shows_its_latest_looks_and_leads_to_all(technician: Client, case: Case):
    empty = technician.get(reverse("case", args=[case.number])).content.decode()
    for number in range(6):
        make_timed_look(case, now=later(hours=number))

    text = technician.get(reverse("case", args=[case.number])).content.decode()
    listed = technician.get(reverse("timed-looks", args=[case.number])).content.decode()

    assert "No station was timed yet" in empty
    assert text.count("Something travels with the belt") == 5
    assert reverse("timed-looks", args=[case.number]) in text
    assert listed.count("Something travels with the belt") == 6


def test_the_list_keeps_its_queries_whatever_its_length(
    technician: Client, case: Case, django_assert_max_num_queries
):
    for number in range(4):
        make_timed_look(case, now=later(hours=number))

    with django_assert_max_num_queries(16):
        technician.get(reverse("timed-looks", args=[case.number]))


def test_an_incomplete_register_is_said_before_anybody_goes(technician: Client, plant: Plant):
    case = make_case(make_bare_conveyor(plant))

    for name in ("timed-look-new", "timed-look-sensor"):
        text = technician.get(reverse(name, args=[case.number])).content.decode()
        assert "register of this conveyor is not complete" in text
        assert "To the register" in text


def test_a_kept_look_on_an_incomplete_register_says_what_is_missing(
    technician: Client, plant: Plant
):
    row = make_timed_look(make_case(make_bare_conveyor(plant)))

    text = technician.get(reverse("timed-look", args=[row.pk])).content.decode()

    assert "cannot be read while the register is not complete" in text


def test_who_may_not_walk_may_read_but_not_time(clerk: Client, case: Case):
    row = make_timed_look(case)

    assert clerk.get(reverse("timed-look", args=[row.pk])).status_code == 200
    assert clerk.get(reverse("timed-look-new", args=[case.number])).status_code == 403
    assert clerk.post(tapping(case), tapped()).status_code == 403
    assert clerk.post(sensor(case), sent()).status_code == 403
    assert clerk.post(reverse("timed-look-counts", args=[row.pk])).status_code == 403


def test_looks_of_another_plant_are_not_there(case: Case):
    row = make_sensor_look(case)
    stranger = signed_in(make_person(Role.TECHNICIAN, make_plant()))

    for name in ("timed-look", "timed-look-file"):
        assert stranger.get(reverse(name, args=[row.pk])).status_code == 404
    assert stranger.post(reverse("timed-look-counts", args=[row.pk])).status_code == 404
    assert stranger.post(tapping(case), tapped()).status_code == 404
    assert stranger.post(sensor(case), sent()).status_code == 404


def test_words_of_a_sender_stay_words(technician: Client, case: Case):
    post = {"note": "<script>alert(1)</script>"}
    row = make_timed_look(case, post=post)

    text = technician.get(reverse("timed-look", args=[row.pk])).content.decode()

    assert "<script>alert" not in text
    assert "&lt;script&gt;" in text


def test_a_reversing_belt_is_asked_which_way_it_runs(technician: Client, plant: Plant):
    case = make_case(make_conveyor(plant, is_reversing=True))

    assert (
        "runs backwards"
        in technician.get(reverse("timed-look-new", args=[case.number])).content.decode()
    )
    technician.post(tapping(case, is_running_backwards="on"), tapped())

    row = TimedLook.objects.get()
    assert row.is_running_backwards
    assert timed_looks.read_look(row).reading.travel.side is Side.LEFT
