"""Putting an edition in force, and going back to an earlier one."""

import pytest

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import Case, KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf
from diagnostics.selectors.pocket.news import register_mark
from diagnostics.services import diagnosing
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.services import knowledge_publishing as publishing
from diagnostics.services.knowledge_keeping import Wanted
from tests.diagnostics import editions
from tests.diagnostics.factories import (
    NOW,
    later,
    make_case,
    make_conveyor,
    make_plant,
    walk_with_trouble_on_return,
)

pytestmark = pytest.mark.django_db
RULE = "row-before-skirts"
# Holds on every conveyor with a screw take-up, as those of the factories.
AGAINST_IDLERS = editions.cleaner_rule(
    when={"conveyor": ["screw take-up"]}, speaks=[{"class": "return_idler", "ratio": 0.02}]
)


@pytest.fixture
def plant():
    return make_plant()


def go_back(plant, to_id, **how):
    standing = shelf.edition_in_force(plant.pk)
    given = {"from_id": standing.pk if standing else 0, "why": "it misled us", **how}
    return publishing.roll_back(plant_id=plant.pk, to_id=to_id, by=None, now=NOW, **given)


def test_a_published_draft_counts_at_once_and_the_one_before_stays_readable(plant):
    first = editions.publish_change(plant, RULE, says="First words.")
    second = editions.publish_change(plant, RULE, says="Second words.")

    first.refresh_from_db()
    assert shelf.in_force(plant.pk).edition_id == second.pk
    assert (first.state, second.state) == (EditionState.EARLIER, EditionState.IN_FORCE)
    assert first.ended_at == second.published_at
    assert second.based_on == first
    assert second.published_why == "tried on last year's cases"
    rule = next(one for one in shelf.knowledge_of(plant.pk).rules if one.slug == RULE)
    assert (rule.says, rule.version) == ("Second words.", 3)


def test_a_draft_that_says_nothing_new_is_not_published(plant):
    with pytest.raises(publishing.NothingChanged):
        editions.publish(editions.begin(plant))


def test_a_draft_is_published_as_it_was_looked_at_or_not_at_all(plant):
    draft = editions.change_rule(editions.begin(plant), RULE, says="First words.")

    with pytest.raises(keeping.DraftHasChanged):
        publishing.publish_draft(draft_id=draft.pk, version=1, why="tried", by=None, now=NOW)
    with pytest.raises(keeping.ReasonOfChangeMissing):
        editions.publish(draft, why=" ")

    assert shelf.in_force(plant.pk).edition_id is None


def test_open_cases_of_the_plant_owe_a_new_diagnosis_and_their_kits_are_others():
    conveyor = make_conveyor()
    here, elsewhere = make_case(conveyor), make_case()
    for case in (here, elsewhere):
        walk_with_trouble_on_return(case)
    Case.objects.update(diagnosis_owed_at=None)
    mark = register_mark(here)

    editions.publish_change(conveyor.plant, RULE, says="First words.")

    assert set(Case.objects.owing_diagnosis()) == {here}
    assert register_mark(here) != mark
    assert diagnosing.pay_owed() == 1
    assert here.diagnoses.get(superseded_at__isnull=True).edition.number == 1


def test_going_back_restores_the_earlier_answers_exactly():
    conveyor = make_conveyor()
    case = make_case(conveyor)
    walk_with_trouble_on_return(case)

    def answers(hours):
        made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=hours))
        return made.answer, made.likelihoods, list(made.hypotheses.values("cause", "detail"))

    by_files = answers(1)
    draft = editions.begin(conveyor.plant)
    editions.keep(draft, Wanted(Kind.RULE, AGAINST_IDLERS["slug"], AGAINST_IDLERS, ""))
    first = editions.publish(draft)
    by_first = answers(2)
    editions.publish_change(
        conveyor.plant, AGAINST_IDLERS["slug"], speaks=[{"class": "loading", "ratio": 3}]
    )
    assert answers(3) not in (by_files, by_first)
    go_back(conveyor.plant, first.pk)
    again_first = answers(4)
    go_back(conveyor.plant, None)
    again_files = answers(5)

    assert by_first != by_files
    assert again_first == by_first
    assert again_files == by_files


def test_going_back_is_a_new_edition_that_says_what_it_changes(plant):
    first = editions.publish_change(plant, RULE, says="First words.")
    editions.publish_change(plant, RULE, says="Second words.")

    made = go_back(plant, first.pk)

    assert (made.number, made.state, made.digest) == (3, EditionState.IN_FORCE, first.digest)
    change = KnowledgeChange.objects.get(edition=made)
    assert (change.before["says"], change.after["says"]) == ("Second words.", "First words.")
    assert change.why == "it misled us"


def test_a_rule_changed_after_going_back_gets_a_version_nobody_had(plant):
    editions.publish_change(plant, RULE, says="Version two.")
    editions.publish_change(plant, RULE, says="Version three.")
    go_back(plant, None)

    edition = editions.publish_change(plant, RULE, says="Neither of them.")

    assert entries_of(edition.contents, Kind.RULE)[RULE]["version"] == 4


def test_only_what_was_in_force_at_this_plant_is_gone_back_to(plant):
    other = make_plant()
    foreign = editions.publish_change(other, RULE, says="First words.")
    editions.publish_change(other, RULE, says="Second words.")
    mine = editions.publish_change(plant, RULE, says="Mine.")
    draft = editions.begin(plant)

    for pk in (foreign.pk, draft.pk, mine.pk):
        with pytest.raises(publishing.NotToGoBackTo):
            go_back(plant, pk)

    assert KnowledgeEdition.objects.filter(plant=plant).count() == 2


def test_going_back_refuses_what_it_cannot_mean(plant):
    with pytest.raises(publishing.AnotherCameInForce):
        go_back(plant, None)
    first = editions.publish_change(plant, RULE, says="First words.")
    with pytest.raises(keeping.ReasonOfChangeMissing):
        go_back(plant, None, why="")
    editions.publish_change(plant, RULE, says="Second words.")
    with pytest.raises(publishing.AnotherCameInForce):
        go_back(plant, None, from_id=first.pk)
    go_back(plant, None)
    with pytest.raises(publishing.NothingChanged):
        go_back(plant, None)


def test_knowledge_of_one_plant_never_reaches_another(plant):
    other = make_plant()
    editions.publish_change(plant, RULE, says="First words.")
    theirs = editions.begin(other)

    editions.keep(theirs, Wanted(Kind.RULE, "own-cleaner-rule", editions.cleaner_rule(), ""))

    assert shelf.knowledge_of(other.pk) == knowledge_files.current()
    assert "own-cleaner-rule" not in entries_of(shelf.documents_of(plant.pk), Kind.RULE)
    assert mark_of(entries_of(theirs.contents, Kind.RULE)[RULE]) == mark_of(
        entries_of(editions.installed(), Kind.RULE)[RULE]
    )
