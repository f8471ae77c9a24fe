"""Systems and their words kept: what was changed can be told and taken back."""

from datetime import timedelta

import pytest

from plant.models import ConnectedSystem, Plant, WordingChange, WordingEntry, WordingGap
from plant.selectors.wordings import wording_of
from plant.services import keys, wording_gaps, wordings
from plant.services.exchange import keeping
from plant.services.exchange.keeping import Wanted
from plant.services.wordings import Settings
from plant.wording.refusals import TAGS, Missed
from plant.wording_entries import Entry, Value
from tests.plant import factories
from tests.plant.webhooks import rows as hook_rows
from tests.plant.wording.system_rows import (
    NOW,
    STATES,
    give,
    make_system,
    spoken_system,
    tag,
    words,
)

pytestmark = pytest.mark.django_db
DONE = Entry("order_state", None, "done")


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT")


def kept(system: ConnectedSystem) -> dict[str, str]:
    return dict(WordingEntry.objects.filter(system=system).values_list("key", "value"))


def test_a_system_speaks_its_words_only_while_it_is_on(plant: Plant) -> None:
    system = spoken_system(plant, is_on=False)

    assert wording_of(system) is None
    assert wording_of(None) is None
    system.is_on = True
    wording = wording_of(system)
    assert wording is not None
    assert wording.words["order_state"].theirs == STATES


def test_the_tag_of_a_conveyor_follows_it_when_it_is_called_otherwise(plant: Plant) -> None:
    conveyor = factories.make_conveyor(plant, tag="Q30")
    system = spoken_system(plant, conveyor)
    conveyor.tag = "Q31"
    conveyor.save()

    wording = wording_of(system)

    assert wording is not None
    assert wording.tags == {("Q31", ""): "LWT/Q30"}


def test_two_systems_of_a_plant_do_not_share_a_name(plant: Plant) -> None:
    make_system(plant)

    with pytest.raises(wordings.SystemNameTaken):
        make_system(plant, "stores LEDGER")
    make_system(factories.make_plant())


def test_a_form_opened_before_somebody_elses_change_is_refused(plant: Plant) -> None:
    system = make_system(plant)
    old = system.version
    give(system, words("order_state", STATES))

    with pytest.raises(wordings.SystemChangedMeanwhile):
        wordings.change_entries(
            system_id=system.pk,
            wanted={DONE: None},
            kind=WordingChange.Kind.WORDS,
            version=old,
            by=None,
            now=NOW,
        )
    assert kept(system) == STATES


def test_what_stands_already_is_no_change(plant: Plant) -> None:
    system = spoken_system(plant)

    assert give(system, words("order_state", STATES, "approved")) == 0
    assert system.changes.count() == system.version


def test_going_back_makes_everything_as_it_was_and_can_be_undone(plant: Plant) -> None:
    conveyor = factories.make_conveyor(plant)
    system = spoken_system(plant, conveyor)
    then, before = system.version, kept(system)
    give(system, {DONE: Value("41-END"), Entry("order_state", None, "proved"): None})
    give(system, {**tag(conveyor, "LWT/9"), **words("urgency", {"watch": "D"})})
    give(system, {DONE: Value("42-END")})
    latest, after = system.version, kept(system)

    wordings.go_back(system_id=system.pk, to_number=then, version=system.version, by=None, now=NOW)
    assert kept(system) == before
    system.refresh_from_db()
    wordings.go_back(
        system_id=system.pk, to_number=latest, version=system.version, by=None, now=NOW
    )

    assert kept(system) == after


def test_going_back_brings_settings_back_too(plant: Plant) -> None:
    system = make_system(plant)
    then = system.version
    wordings.change_settings(
        system_id=system.pk,
        settings=Settings("Other name", is_on=False, is_strict=True, note="n"),
        version=then,
        by=None,
        now=NOW,
    )

    back = wordings.go_back(system_id=system.pk, to_number=then, version=then + 1, by=None, now=NOW)

    assert (back.name, back.is_on, back.is_strict, back.note) == ("Stores ledger", True, False, "")


def test_going_back_to_a_state_that_never_was_is_refused(plant: Plant) -> None:
    system = make_system(plant)

    with pytest.raises(wordings.NoSuchState):
        wordings.go_back(system_id=system.pk, to_number=9, version=2, by=None, now=NOW)


def test_no_tag_is_given_to_a_conveyor_of_another_plant(plant: Plant) -> None:
    system = make_system(plant)

    assert give(system, tag(factories.make_conveyor(), "LWT/1")) == 0


def test_a_system_whose_keys_work_is_not_removed(plant: Plant) -> None:
    system = make_system(plant)
    key, _secret = keys.make_key(
        name="ledger",
        plant=plant,
        scopes=["work_orders:read"],
        expires_at=None,
        by=None,
        now=NOW,
        system=system,
    )

    with pytest.raises(wordings.SystemIsUsed):
        wordings.remove_system(system_id=system.pk, version=system.version, by=None)
    keys.revoke_key(prefix=key.prefix, by=factories.make_person())
    wordings.remove_system(system_id=system.pk, version=system.version, by=None)

    assert not ConnectedSystem.objects.exists()


def test_a_system_that_webhooks_or_files_speak_for_is_not_removed(plant: Plant) -> None:
    """They would go on in our words, without anybody having said so."""
    system = make_system(plant)
    target = hook_rows.make_row(plant, system=system)
    files = keeping.set_up(
        plant=plant,
        wanted=Wanted("ledger", "ledger", ["work_orders"], "csv", 15, None, system=system),
        begins_with_all=False,
        by=None,
        now=NOW,
    )

    for used in (target, files):
        with pytest.raises(wordings.SystemIsUsed):
            wordings.remove_system(system_id=system.pk, version=system.version, by=None)
        used.delete()
    wordings.remove_system(system_id=system.pk, version=system.version, by=None)

    assert not ConnectedSystem.objects.exists()


def test_no_key_is_made_for_a_system_of_another_plant(plant: Plant) -> None:
    with pytest.raises(keys.SystemOfAnotherPlant):
        keys.make_key(
            name="ledger",
            plant=factories.make_plant(),
            scopes=["work_orders:read"],
            expires_at=None,
            by=None,
            now=NOW,
            system=make_system(plant),
        )


def test_a_word_without_an_answer_is_counted_once_a_minute(plant: Plant) -> None:
    system = make_system(plant)

    for seconds in (0, 5, 59, 61):
        wording_gaps.note_gaps(
            system=system,
            way="out",
            missed={Missed("order_state", "done")},
            now=NOW + timedelta(seconds=seconds),
        )

    gap = WordingGap.objects.get()
    assert (gap.times, gap.last_at) == (2, NOW + timedelta(seconds=61))


def test_our_own_tags_that_come_in_are_no_gap(plant: Plant) -> None:
    factories.make_conveyor(plant, tag="Q30")
    missed = {Missed(TAGS, "q30"), Missed(TAGS, "Z\x009")}

    wording_gaps.note_gaps(system=make_system(plant), way="in", missed=missed, now=NOW)

    assert [gap.word for gap in WordingGap.objects.all()] == ["Z9"]


def test_nonsense_does_not_fill_the_table(plant: Plant, monkeypatch) -> None:
    monkeypatch.setattr(wording_gaps, "MOST_KEPT", 3)
    system = make_system(plant)

    for number in range(5):
        at = NOW + timedelta(seconds=number)
        missed = {Missed(TAGS, f"Z{number}")}
        wording_gaps.note_gaps(system=system, way="in", missed=missed, now=at)

    assert [gap.word for gap in WordingGap.objects.all()] == ["Z4", "Z3", "Z2"]
