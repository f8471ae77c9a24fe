"""The pages of editions: who may do what, what is asked, what is refused and kept."""

from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import shelf
from diagnostics.services.knowledge_keeping import Wanted
from plant.roles import Role
from tests.diagnostics import editions
from tests.diagnostics.factories import make_person, make_plant
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
RULE = "row-before-skirts"
KEEPERS = {Role.LEAD, Role.ADMINISTRATOR}


@pytest.fixture
def plant():
    return make_plant()


@pytest.fixture
def lead(plant):
    return signed_in(make_person(Role.LEAD, plant))


@pytest.fixture
def draft(plant):
    return editions.begin(plant)


def at(name, *args):
    return reverse(name, args=args)


def typed(draft, slug=RULE, **changes):
    return editions.typed(draft, slug, **changes)


def rule_in(edition, slug=RULE):
    return editions.rule_in(edition, slug)


def test_everybody_reads_and_only_keepers_draft_and_publish(plant):
    published = editions.publish_change(plant, RULE, says="First words.")
    editions.publish_change(plant, RULE, says="Second words.")
    draft = editions.change_rule(editions.begin(plant), RULE, says="Third words.")
    reading = [
        at("editions"),
        at("edition", draft.pk),
        at("edition-compare", draft.pk),
        at("edition-entries", draft.pk),
        at("rule", RULE),
    ]
    doing = [
        at("edition-new"),
        at("edition-rule", draft.pk, RULE),
        at("edition-rule-new", draft.pk),
        at("edition-entry", draft.pk, "cause", "structure_bowed"),
        at("edition-entry-new", draft.pk, "caution"),
        at("edition-entry-drop", draft.pk, "rule", RULE),
        at("edition-change-back", draft.pk, "rule", RULE),
        at("edition-carry-over", draft.pk),
        at("edition-publish", draft.pk),
        at("edition-discard", draft.pk),
        at("edition-go-back", published.pk),
        at("editions-as-installed"),
    ]

    for role in Role:
        client = signed_in(make_person(role, plant))
        expected = HTTPStatus.OK if role in KEEPERS else HTTPStatus.FORBIDDEN
        assert {client.get(one).status_code for one in reading} == {HTTPStatus.OK}, role
        assert {client.get(one).status_code for one in doing} == {expected}, role
        if role not in KEEPERS:
            posted = {client.post(one, {"why": "x"}).status_code for one in doing}
            assert posted == {HTTPStatus.FORBIDDEN}, role


def test_dropping_asks_for_a_reason_and_taking_back_restores(lead, draft):
    drop = at("edition-entry-drop", draft.pk, "rule", RULE)
    back = at("edition-change-back", draft.pk, "rule", RULE)
    seen = mark_of(rule_in(draft))

    refused = lead.post(drop, {"seen": seen})
    lead.post(drop, {"seen": seen, "why": "never held"})
    dropped = KnowledgeChange.objects.get()
    lead.post(back, {"seen": ""})

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert dropped.after is None
    assert not KnowledgeChange.objects.exists()
    assert rule_in(draft)["slug"] == RULE


def test_what_others_lean_on_is_not_dropped_and_the_page_says_why(lead, draft):
    address = at("edition-entry-drop", draft.pk, "cause", "structure_bowed")
    seen = mark_of(entries_of(draft.contents, Kind.CAUSE)["structure_bowed"])

    response = lead.post(address, {"seen": seen, "why": "no such thing here"})

    assert response.status_code == HTTPStatus.CONFLICT
    assert "structure_bowed" in response.content.decode()
    assert not KnowledgeChange.objects.exists()


def test_going_back_shows_what_differs_and_asks_for_a_reason(plant, lead):
    first = editions.publish_change(plant, RULE, says="First words.")
    second = editions.publish_change(plant, RULE, says="Second words.")
    address = at("edition-go-back", first.pk)

    page = lead.get(address).content.decode()
    without = lead.post(address, {"version": second.pk})
    lead.post(address, {"version": second.pk, "why": "it misled us"})

    assert "First words." in page
    assert "Second words." in page
    assert without.status_code == HTTPStatus.BAD_REQUEST
    standing = shelf.edition_in_force(plant.pk)
    assert (standing.number, standing.digest) == (3, first.digest)


def test_a_stale_draft_says_so_and_leads_to_carrying_over(plant, lead):
    first = editions.publish_change(plant, RULE, says="First words.")
    draft = editions.change_rule(editions.begin(plant), RULE, says="Draft words.")
    address = at("editions-as-installed")
    lead.post(address, {"version": first.pk, "why": "it misled us"})

    page = lead.get(at("edition", draft.pk)).content.decode()
    over = at("edition-carry-over", draft.pk)
    unchosen = lead.post(over, {"version": draft.version})
    lead.post(over, {"version": draft.version, f"rule-{RULE}": "mine"})

    assert at("edition-carry-over", draft.pk) in page
    assert at("edition-publish", draft.pk) not in page
    assert unchosen.status_code == HTTPStatus.BAD_REQUEST
    assert not shelf.is_stale(KnowledgeEdition.objects.get(pk=draft.pk))
    assert rule_in(draft)["says"] == "Draft words."


def test_discarding_asks_first(lead, draft):
    asked = lead.get(at("edition-discard", draft.pk))
    lead.post(at("edition-discard", draft.pk), {"version": draft.version})

    draft.refresh_from_db()
    assert "Discard the draft?" in asked.content.decode()
    assert draft.state == EditionState.DISCARDED


def test_what_is_no_draft_is_not_edited(plant, lead):
    published = editions.publish_change(plant, RULE, says="First words.")

    response = lead.get(at("edition-rule", published.pk, RULE), follow=True)

    assert "Only a draft can be changed" in response.content.decode()


def test_a_rule_tells_its_history_with_author_and_reason(plant, lead):
    person = make_person(Role.LEAD, plant)
    person.display_name = "Odile Brannock"
    person.save()
    draft = editions.begin(plant)
    stands = rule_in(draft)
    wanted = Wanted(Kind.RULE, RULE, {**stands, "says": "First words."}, mark_of(stands))
    editions.publish(editions.keep(draft, wanted, "two belts last winter", by=person))
    editions.publish_change(plant, RULE, says="Second words.")
    editions.change_rule(editions.begin(plant), RULE, says="Only drafted words.")

    page = lead.get(at("rule", RULE)).content.decode()
    listed = lead.get(at("rules")).content.decode()

    assert page.index("Second words.") < page.index("two belts last winter")
    assert "Odile Brannock" in page
    assert "Only drafted words." not in page
    assert "changed in edition 2 by –: seen twice last winter" in listed


def test_a_rule_nobody_knows_is_not_there_and_a_dropped_one_has_a_history(plant, lead):
    draft = editions.begin(plant)
    editions.publish(editions.keep(draft, Wanted(Kind.RULE, RULE, None, mark_of(rule_in(draft)))))

    assert lead.get(at("rule", "never-heard-of")).status_code == HTTPStatus.NOT_FOUND
    assert "This rule was dropped" in lead.get(at("rule", RULE)).content.decode()


def test_two_editions_are_compared_and_another_plants_is_not_there(plant, lead):
    first = editions.publish_change(plant, RULE, says="First words.")
    second = editions.publish_change(plant, "row-past-skirts", says="Second words.")
    other = editions.publish_change(make_plant(), RULE, says="Not yours.")
    address = at("edition-compare", second.pk)

    against_base = lead.get(address).content.decode()
    against_files = lead.get(address, {"with": "installed"}).content.decode()

    assert ("First words." in against_base, "Second words." in against_base) == (False, True)
    assert ("First words." in against_files, "Second words." in against_files) == (True, True)
    assert lead.get(address, {"with": first.pk}).status_code == HTTPStatus.OK
    for strange in (other.pk, "x", "²", "9" * 30, "-1"):
        assert lead.get(address, {"with": strange}).status_code == HTTPStatus.NOT_FOUND


def test_pages_ask_no_more_for_many_editions_and_changes(
    plant, lead, django_assert_num_queries, django_assert_max_num_queries
):
    def count(address):
        with django_assert_max_num_queries(40) as asked:
            lead.get(address)
        return len(asked)

    draft = editions.change_rule(editions.begin(plant), RULE, says="First words.")
    addresses = [
        at("editions"),
        at("edition", draft.pk),
        at("edition-compare", draft.pk),
        at("rules"),
    ]
    # The first page of a session costs more.
    count(at("today"))
    before = [count(one) for one in addresses]
    person = make_person(Role.LEAD, plant)
    for slug in ("row-past-skirts", "row-carrying", "row-return"):
        stands = rule_in(draft, slug)
        wanted = Wanted(Kind.RULE, slug, {**stands, "says": "Other words."}, mark_of(stands))
        editions.keep(draft, wanted, by=person)
    for number in range(2, 6):
        KnowledgeEdition.objects.create(
            plant=plant,
            number=number,
            state=EditionState.EARLIER,
            contents=draft.contents,
            digest=draft.digest,
            base_digest=draft.base_digest,
            based_on=draft,
            drafted_by=person,
            published_by=person,
            drafted_at=draft.drafted_at,
            published_at=draft.drafted_at,
        )

    assert [count(one) for one in addresses] == before


def test_an_empty_list_says_what_to_do_first(plant, lead):
    clerk = signed_in(make_person(Role.CLERK, plant))

    assert "begin a draft" in lead.get(at("editions")).content.decode()
    assert "A reliability lead can begin one" in clerk.get(at("editions")).content.decode()


def test_entries_of_an_edition_are_found_by_words(lead, draft):
    address = at("edition-entries", draft.pk)

    found = lead.get(address, {"kind": "cause", "words": "bowed structure"}).content.decode()
    nothing = lead.get(address, {"kind": "cause", "words": "gremlins"}).content.decode()

    assert "structure_bowed" in found
    assert "carrying_idlers_skewed" not in found
    assert "Nothing has these words" in nothing
    assert lead.get(address, {"kind": "gremlins"}).status_code == HTTPStatus.OK
