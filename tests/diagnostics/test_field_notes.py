"""Notes from the field: what is kept, changed, ended, and told to the next one."""

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage

from diagnostics.models import FieldNote
from diagnostics.selectors import field_notes as selectors
from diagnostics.selectors.walk_route import route_along
from diagnostics.services import field_notes
from diagnostics.services.field_notes import (
    NoteIsAboutNothing,
    NoteIsEmpty,
    ReasonMissing,
    Subject,
    TooManyNotePhotos,
)
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Conveyor
from plant.pictures import PictureRefused
from plant.roles import Role
from plant.services.register_refusals import StaleForm
from tests.diagnostics.note_rows import new, write
from tests.plant.attached import NOW
from tests.plant.drawn_pictures import ENGLISH_TEXT, files_kept
from tests.plant.factories import (
    make_complete_conveyor,
    make_component,
    make_conveyor,
    make_person,
    make_plant,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    for name in files_kept():
        default_storage.delete(name)
    return make_complete_conveyor()


def texts(notes: selectors.Notes) -> set[str]:
    return {one.text for one in notes.rows}


def change(note: FieldNote, text: str, version: int | None = None, photos: int = 0, **how):
    given = {"by": None, "now": NOW, **how}
    return field_notes.change_note(note_id=note.pk, new=new(text, photos), version=version, **given)


def test_a_note_is_kept_with_its_photos_and_who_wrote_it(conveyor):
    technician = make_person(Role.TECHNICIAN, plants=[conveyor.plant])

    note = write(conveyor, " Left foot is slotted. ", component="Bend 1", photos=2, by=technician)

    assert (note.text, note.written_by, note.place) == (
        "Left foot is slotted.",
        technician,
        "Bend 1",
    )
    assert len(files_kept()) == 4


def test_the_same_form_sent_twice_keeps_one_note(conveyor):
    said = new("Mind the drip tray.", photos=1)
    about = Subject(conveyor=conveyor)

    for _again in range(2):
        field_notes.write_note(plant=conveyor.plant, about=about, new=said, by=None, now=NOW)

    assert FieldNote.objects.count() == 1
    assert len(files_kept()) == 2


@pytest.mark.parametrize(
    ("said", "about", "refusal"),
    [
        (new("   "), "conveyor", NoteIsEmpty),
        (new("x"), "nothing", NoteIsAboutNothing),
        (new("x", photos=9), "conveyor", TooManyNotePhotos),
    ],
)
def test_what_cannot_be_kept_leaves_nothing(said, about, refusal, conveyor):
    subject = Subject(conveyor=conveyor) if about == "conveyor" else Subject()

    with pytest.raises(refusal):
        field_notes.write_note(plant=conveyor.plant, about=subject, new=said, by=None, now=NOW)

    assert not FieldNote.objects.exists()
    assert files_kept() == []


def test_a_photo_that_is_none_is_named_and_the_others_go_too(conveyor):
    said = new("x", photos=1)
    sent = field_notes.NewNote(said.client_id, "x", [*said.photos, ("letter.jpg", ENGLISH_TEXT)])

    with pytest.raises(PictureRefused, match=r"letter\.jpg"):
        field_notes.write_note(
            plant=conveyor.plant, about=Subject(conveyor=conveyor), new=sent, by=None, now=NOW
        )

    assert files_kept() == []


def test_a_change_keeps_what_it_said_before(conveyor):
    lead = make_person(Role.LEAD, plants=[conveyor.plant])
    note = write(conveyor, "Slotted on the left.")

    change(note, "Slotted on the right.", version=1, by=lead, now=NOW + timedelta(days=1))

    note.refresh_from_db()
    (earlier,) = note.earlier_texts.all()
    assert note.text == "Slotted on the right."
    assert (earlier.text, earlier.changed_by) == ("Slotted on the left.", lead)


def test_a_change_on_top_of_somebody_elses_is_refused_and_its_photos_go(conveyor):
    note = write(conveyor, "First.")
    change(note, "Second.", version=1)

    with pytest.raises(StaleForm):
        change(note, "Third.", version=1, photos=1)

    note.refresh_from_db()
    assert note.text == "Second."
    assert files_kept() == []


def test_photos_are_counted_over_all_changes(conveyor):
    note = write(conveyor, "First.", photos=5)

    with pytest.raises(TooManyNotePhotos):
        change(note, "First.", photos=4)

    assert note.photos.count() == 5


def test_what_is_no_longer_so_says_why_and_can_hold_again(conveyor):
    note = write(conveyor, "Skirt touches the belt.")

    with pytest.raises(ReasonMissing):
        field_notes.end_note(note_id=note.pk, why=" ", by=None, now=NOW)
    for why in ("Skirt replaced.", "Said twice."):
        field_notes.end_note(note_id=note.pk, why=why, by=None, now=NOW)

    note.refresh_from_db()
    assert note.no_longer_why == "Skirt replaced."
    assert texts(selectors.notes_on_conveyor(conveyor)) == set()
    field_notes.let_hold_again(note_id=note.pk)
    assert texts(selectors.notes_on_conveyor(conveyor)) == {"Skirt touches the belt."}


def test_a_note_taken_back_is_told_to_nobody_until_it_is_put_back(conveyor):
    note = write(conveyor, "Wrong belt.")

    field_notes.let_count(note_id=note.pk, counts=False, by=None, now=NOW)

    assert selectors.notes_for_phone(conveyor, route_along(conveyor, {})) == []
    field_notes.let_count(note_id=note.pk, counts=True, by=None, now=NOW)
    assert len(selectors.notes_for_phone(conveyor, route_along(conveyor, {}))) == 1


def here(conveyor: Conveyor, station: str, *suspects: str) -> set[str]:
    """What is told to who stands at a station, be it a stop of the route or not."""
    route = route_along(conveyor, {})
    place = route.place_named(station)
    assert place is not None
    return texts(selectors.notes_here(conveyor, route, place, suspects))


def test_who_stands_at_a_place_reads_what_was_noted_there_and_not_elsewhere(conveyor):
    write(conveyor, "of the whole group", component="R")
    write(conveyor, "at the tail", component="Tail pulley")
    write(conveyor, "on the whole belt")

    assert here(conveyor, "Tail pulley") == {"at the tail", "on the whole belt"}
    assert here(conveyor, "R1") == {"of the whole group", "on the whole belt"}
    assert here(conveyor, "C1") == {"on the whole belt"}


def test_nothing_that_was_noted_lies_between_two_stops(conveyor):
    """Each set of a group, the skirts, a cleaner and a bare place are told at the nearest stop."""
    make_component(conveyor, "Cleaner", ComponentKind.BELT_CLEANER, Run.RETURN, "100.5")
    for name in ("Cleaner", "Skirts", "Load point"):
        write(conveyor, name, component=name)
    for number in range(1, 61):
        _part, position_m = selectors.where_named(conveyor, f"C{number}")
        assert position_m == pytest.approx(6 + 1.5 * (number - 1))
        write(conveyor, f"C{number}", component="C", position_m=position_m)
    write(conveyor, "7.4 m", place="7.4 m", position_m=7.4)
    route = route_along(conveyor, {})

    stretches = selectors.stop_stretches(route)

    told = {one["text"]: one["stops"] for one in selectors.notes_for_phone(conveyor, route)}
    assert set(told) >= {"7.4 m"} | {f"C{number}" for number in range(22, 61)}
    assert all(told.values())
    # A set is told at one stop, or at two where it stands half-way between them.
    assert max(len(stops) for text, stops in told.items() if text.startswith("C")) <= 2
    first_m = sorted(from_m for _number, from_m, _to_m in stretches)
    last_m = sorted(to_m for _number, _from_m, to_m in stretches)
    assert (first_m[0], last_m[-1]) == (0.0, route.loop.length_m)
    assert first_m[1:] == last_m[:-1]


def test_notes_are_told_at_every_stop_while_the_register_is_not_complete():
    conveyor = make_conveyor()
    write(conveyor, "Mind the drip tray.", place="hopper")
    route = route_along(conveyor, {})

    assert texts(selectors.notes_here(conveyor, route, None, ())) == {"Mind the drip tray."}


def test_notes_on_what_is_suspected_come_from_other_conveyors_of_the_plant(conveyor):
    beside = make_conveyor(conveyor.plant)
    write(beside, "Look under the guard.", cause="return_idler_skewed")
    write(make_conveyor(make_plant()), "Another plant.", cause="return_idler_skewed")

    suspected = here(conveyor, "R1", "return_idler_skewed")

    assert suspected == {"Look under the guard."}
    assert here(conveyor, "R1", "belt_camber") == set()
    on_cause = selectors.notes_on_cause(conveyor.plant_id, "return_idler_skewed")
    assert texts(on_cause) == {"Look under the guard."}


def test_only_the_newest_are_shown_and_the_others_counted(conveyor):
    for number in range(8):
        write(conveyor, f"note {number}", now=NOW + timedelta(minutes=number))

    notes = selectors.notes_on_conveyor(conveyor)

    assert [one.text for one in notes.rows] == [f"note {one}" for one in (7, 6, 5, 4, 3)]
    assert notes.more == 3


def test_a_phone_takes_along_where_a_note_belongs_and_how_many_photos_it_has(conveyor):
    write(conveyor, "at the tail", component="Tail pulley", photos=2, now=NOW)
    write(conveyor, "on the whole belt", now=NOW - timedelta(days=1))
    beside = make_conveyor(conveyor.plant, tag="Y9")
    write(beside, "elsewhere", cause="belt_camber", place="C3", now=NOW)
    route = route_along(conveyor, {})

    tail, whole, other = selectors.notes_for_phone(conveyor, route)

    # The tail pulley is the first stop of every route.
    assert (tail["text"], tail["stops"], tail["photos"]) == ("at the tail", [1], 2)
    assert tail["about"] == "Tail pulley · 2026-11-25"
    assert whole["stops"] is None
    assert (other["cause"], other["stops"]) == ("belt_camber", [])
    assert other["about"] == "Y9 C3 · 2026-11-25"


def test_notes_of_a_component_that_goes_stay_with_the_conveyor(conveyor):
    note = write(conveyor, "Slotted foot.", component="Bend 1")

    conveyor.components.get(name="Bend 1").delete()

    note.refresh_from_db()
    assert (note.component, note.place) == (None, "Bend 1")
    assert texts(selectors.notes_on_conveyor(conveyor)) == {"Slotted foot."}
