"""Drafts: begun, edited by two people, taken back, carried over, discarded."""

import pytest

from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.services import knowledge_publishing as publishing
from diagnostics.services.knowledge_keeping import Wanted
from plant.roles import Role
from tests.diagnostics import editions
from tests.diagnostics.factories import NOW, later, make_person, make_plant

pytestmark = pytest.mark.django_db
RULE, OTHER = "row-before-skirts", "row-past-skirts"


@pytest.fixture
def plant():
    return make_plant()


@pytest.fixture
def draft(plant):
    return editions.begin(plant)


def new_rule(**changes):
    rule = editions.cleaner_rule(**changes)
    return Wanted(Kind.RULE, "own-cleaner-rule", rule, "")


def says(edition, slug=RULE):
    edition.refresh_from_db()
    return entries_of(edition.contents, Kind.RULE)[slug]["says"]


def test_a_draft_begins_with_what_is_in_force_and_changes_nothing_yet(plant, draft):
    assert digest_of(draft.contents) == digest_of(editions.installed())
    assert draft.state == EditionState.DRAFT
    assert shelf.in_force(plant.pk).edition_id is None


def test_a_plant_has_one_draft_at_a_time(plant, draft):
    with pytest.raises(keeping.DraftExists):
        editions.begin(plant)

    assert editions.begin(make_plant()).number == 1


def test_a_changed_rule_is_kept_with_who_when_and_why_and_counts_its_version(plant, draft):
    lead = make_person(Role.LEAD, plant)
    stands = entries_of(draft.contents, Kind.RULE)[RULE]

    wanted = Wanted(Kind.RULE, RULE, {**stands, "says": "Look at the tail."}, mark_of(stands))
    editions.keep(draft, wanted, "two belts last winter", by=lead, now=later(hours=1))

    change = KnowledgeChange.objects.get(edition=draft)
    assert (change.kind, change.slug, change.why) == ("rule", RULE, "two belts last winter")
    assert (change.changed_by, change.changed_at) == (lead, later(hours=1))
    assert (change.before["version"], change.after["version"]) == (1, 2)
    assert says(draft) == "Look at the tail."


def test_changing_twice_is_one_change_of_one_version(draft):
    editions.change_rule(draft, RULE, says="Look at the tail.")
    editions.change_rule(draft, RULE, says="Look at the tail pulley.")

    change = KnowledgeChange.objects.get(edition=draft)
    assert change.after["version"] == 2
    assert change.before["says"].startswith("The belt arrives central")


def test_changing_back_by_hand_leaves_no_change(draft):
    was = says(draft)
    editions.change_rule(draft, RULE, says="Look at the tail.")

    editions.change_rule(draft, RULE, says=was)

    assert not KnowledgeChange.objects.exists()
    assert KnowledgeEdition.objects.get(pk=draft.pk).digest == digest_of(editions.installed())


def test_a_change_taken_back_puts_the_entry_in_its_old_place(draft):
    was = draft.digest
    stands = entries_of(draft.contents, Kind.RULE)[RULE]
    editions.keep(draft, Wanted(Kind.RULE, RULE, None, mark_of(stands)))
    editions.change_rule(draft, OTHER, says="Look at the chute.")

    keeping.take_back_change(draft_id=draft.pk, kind=Kind.RULE, slug=RULE, seen="")
    stands = entries_of(KnowledgeEdition.objects.get(pk=draft.pk).contents, Kind.RULE)[OTHER]
    made = keeping.take_back_change(
        draft_id=draft.pk, kind=Kind.RULE, slug=OTHER, seen=mark_of(stands)
    )

    assert made.digest == was
    assert not KnowledgeChange.objects.exists()


def test_the_second_of_two_people_is_told_what_it_says_now(draft):
    stands = entries_of(draft.contents, Kind.RULE)[RULE]
    editions.change_rule(draft, RULE, says="The first was here.")

    mine = Wanted(Kind.RULE, RULE, {**stands, "says": "The second."}, mark_of(stands))
    with pytest.raises(keeping.EntryHasChanged) as refusal:
        editions.keep(draft, mine)

    assert refusal.value.stands["says"] == "The first was here."
    assert says(draft) == "The first was here."


def test_two_people_may_change_two_rules_of_one_draft(draft):
    stands = entries_of(draft.contents, Kind.RULE)[OTHER]
    editions.change_rule(draft, RULE, says="The first was here.")

    editions.keep(
        draft, Wanted(Kind.RULE, OTHER, {**stands, "says": "The second."}, mark_of(stands))
    )

    assert (says(draft), says(draft, OTHER)) == ("The first was here.", "The second.")


@pytest.mark.parametrize("why", ["", "  \n"])
def test_a_change_without_a_reason_is_refused(draft, why):
    with pytest.raises(keeping.ReasonOfChangeMissing):
        editions.keep(draft, new_rule(), why)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"says": ""}, "says"),
        ({"says": 7}, "says"),
        ({"says": "a\x00b of the belt"}, "says"),
        ({"says": "a lone \ud800 half"}, "says"),
        ({"source": "x" * 1300}, "source"),
        ({"when": {}}, "when"),
        ({"when": {"weather": ["rain"]}}, "when"),
        ({"when": {"onset": ["on the moon"]}}, "when.onset.0"),
        ({"speaks": []}, "speaks"),
        ({"speaks": [{"cause": "gremlins", "ratio": 2}]}, "speaks"),
        ({"speaks": [{"ratio": 2}]}, "speaks"),
        ({"speaks": [{"cause": "structure_bowed", "class": "loading", "ratio": 2}]}, "speaks"),
        ({"speaks": [{"class": "loading", "ratio": 0}]}, "speaks.0.ratio"),
        ({"speaks": [{"class": "loading", "ratio": 1e9}]}, "speaks.0.ratio"),
        ({"speaks": [{"class": "loading", "ratio": float("nan")}]}, "speaks.0.ratio"),
        ({"speaks": [{"class": "loading", "ratio": float("inf")}]}, "speaks.0.ratio"),
        ({"speaks": [{"class": "loading", "ratio": True}]}, "speaks.0.ratio"),
        ({"extra": "field"}, ""),
        ({"slug": "another-name"}, "slug"),
    ],
)
def test_a_rule_that_cannot_be_used_is_refused_by_field_and_nothing_changes(draft, changes, field):
    with pytest.raises(keeping.EntryRefused) as refusal:
        editions.keep(draft, new_rule(**changes))

    assert refusal.value.entry == "own-cleaner-rule"
    assert refusal.value.field == field
    draft.refresh_from_db()
    assert draft.version == 1
    assert digest_of(draft.contents) == digest_of(editions.installed())
    assert not KnowledgeChange.objects.exists()


@pytest.mark.parametrize("entry", [[], "rule", 7, {}, {"says": "no name"}])
def test_what_is_no_entry_at_all_is_refused(draft, entry):
    with pytest.raises(keeping.EntryRefused):
        editions.keep(draft, Wanted(Kind.RULE, "own-cleaner-rule", entry, ""))


def test_a_cause_that_rules_lean_on_cannot_be_dropped(draft):
    stands = entries_of(draft.contents, Kind.CAUSE)["structure_bowed"]

    with pytest.raises(keeping.EntryRefused):
        editions.keep(draft, Wanted(Kind.CAUSE, "structure_bowed", None, mark_of(stands)))


def test_entries_that_lean_on_each_other_are_kept_together_or_not_at_all(draft):
    caution = {"slug": "hot-guards", "says": "Guards may be hot.", "source": "own"}
    method = {
        **entries_of(draft.contents, Kind.WORK_METHOD)["square-troughing-idlers"],
        "cautions": ["hot-guards"],
    }
    seen = mark_of(entries_of(draft.contents, Kind.WORK_METHOD)["square-troughing-idlers"])
    both = [
        Wanted(Kind.WORK_METHOD, "square-troughing-idlers", method, seen),
        Wanted(Kind.CAUTION, "hot-guards", caution, ""),
    ]
    told = {"draft_id": draft.pk, "why": "burnt fingers", "by": None, "now": NOW}

    with pytest.raises(keeping.EntryRefused):
        keeping.keep_entries(wanted=both[:1], **told)
    keeping.keep_entries(wanted=both, **told)

    assert KnowledgeChange.objects.count() == 2


def test_only_a_draft_is_edited(plant, draft):
    editions.change_rule(draft, RULE, says="Look at the tail.")
    published = editions.publish(draft)

    with pytest.raises(keeping.NoDraft):
        editions.keep(published, new_rule())


def test_a_discarded_draft_stays_readable_and_makes_room_for_another(plant, draft):
    editions.change_rule(draft, RULE, says="Look at the tail.")
    draft.refresh_from_db()

    keeping.discard_draft(draft_id=draft.pk, version=draft.version, now=later(hours=1))

    assert says(draft) == "Look at the tail."
    assert draft.state == EditionState.DISCARDED
    assert shelf.in_force(plant.pk).edition_id is None
    assert editions.begin(plant).number == 2


def test_a_draft_somebody_went_on_with_is_not_discarded_unseen(draft):
    editions.change_rule(draft, RULE, says="Look at the tail.")

    with pytest.raises(keeping.DraftHasChanged):
        keeping.discard_draft(draft_id=draft.pk, version=1, now=NOW)


class TestStaleDraft:
    """Something came in force while a draft was being written: here by way of going back."""

    @pytest.fixture
    def stale(self, plant):
        first = editions.publish_change(plant, RULE, says="As of the first edition.")
        draft = editions.begin(plant)
        editions.change_rule(draft, RULE, says="As of the draft.")
        editions.change_rule(draft, OTHER, says="Untouched by others.")
        publishing.roll_back(
            plant_id=plant.pk, to_id=None, from_id=first.pk, why="was wrong", by=None, now=NOW
        )
        draft.refresh_from_db()
        return draft

    def test_is_not_published(self, stale):
        with pytest.raises(publishing.DraftIsStale):
            editions.publish(stale)

    def test_carries_over_what_nobody_else_changed_and_asks_about_the_rest(self, stale):
        with pytest.raises(publishing.ChoiceMissing):
            publishing.carry_over(draft_id=stale.pk, version=stale.version, keep_mine={})

    @pytest.mark.parametrize(
        ("mine", "words"), [(True, "As of the draft."), (False, "The belt arrives central")]
    )
    def test_keeps_the_words_that_were_chosen(self, plant, stale, mine, words):
        made = publishing.carry_over(
            draft_id=stale.pk, version=stale.version, keep_mine={("rule", RULE): mine}
        )

        assert says(made).startswith(words)
        assert says(made, OTHER) == "Untouched by others."
        assert editions.publish(made).based_on.number == 3
        assert shelf.knowledge_of(plant.pk).version.startswith("edition 2 ")
