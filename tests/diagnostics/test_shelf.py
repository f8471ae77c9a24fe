"""Which knowledge counts at a plant: its own edition in force, else the installed files."""

import pytest
from django.db import IntegrityError
from django.urls import reverse

from diagnostics import knowledge_files
from diagnostics.edition_states import EditionState
from diagnostics.models import KnowledgeEdition
from diagnostics.selectors import shelf
from diagnostics.services import diagnosing, findings
from plant.roles import Role
from tests.diagnostics import editions
from tests.diagnostics.factories import (
    NOW,
    later,
    make_case,
    make_conveyor,
    make_plant,
    walk_with_trouble_on_return,
)
from tests.plant.factories import make_person, signed_in

pytestmark = pytest.mark.django_db


def rename(documents):
    editions.entry(documents, "causes", "return_idler_skewed")["name"] = "Return set turned"


def drop_cleaner(documents):
    """A cause that nothing else leans on."""
    slug = "cleaner_presses_unevenly"
    causes = documents["causes.yaml"]
    causes["causes"] = [one for one in causes["causes"] if one["slug"] != slug]
    for cause in causes["causes"]:
        cause["look_alikes"] = [one for one in cause["look_alikes"] if one["cause"] != slug]
    for rule in documents["rules.yaml"]["rules"]:
        rule["speaks"] = [one for one in rule["speaks"] if one.get("cause") != slug]


def test_a_plant_without_an_edition_goes_by_the_installed_files():
    plant = make_plant()

    assert shelf.knowledge_of(plant.pk) == knowledge_files.current()
    assert shelf.in_force(plant.pk).edition_id is None


def test_an_edition_counts_at_its_own_plant_and_nowhere_else():
    plant, other = make_plant(), make_plant()
    edition = editions.put_in_force(plant, rename)

    known = shelf.in_force(plant.pk)

    assert known.edition_id == edition.pk
    assert known.knowledge.causes["return_idler_skewed"].name == "Return set turned"
    assert known.knowledge.version == f"edition 1 ({edition.digest[:12]})"
    assert shelf.knowledge_of(other.pk) == knowledge_files.current()


def test_an_unchanged_edition_says_just_what_the_files_say():
    plant = make_plant()
    editions.put_in_force(plant)

    kept, installed = shelf.library_of(plant.pk), knowledge_files.library()

    assert kept.knowledge.causes == installed.knowledge.causes
    assert kept.knowledge.rules == installed.knowledge.rules
    assert kept.knowledge.cautions == installed.knowledge.cautions
    assert kept.work_methods == installed.work_methods


def test_asking_again_costs_one_query_without_the_contents(django_assert_num_queries):
    plant = make_plant()
    editions.put_in_force(plant)
    shelf.knowledge_of(plant.pk)

    with django_assert_num_queries(1) as asked:
        shelf.knowledge_of(plant.pk)

    assert "contents" not in asked.captured_queries[0]["sql"]


@pytest.mark.parametrize("state", [EditionState.IN_FORCE, EditionState.DRAFT])
def test_a_plant_has_no_second_edition_in_force_and_no_second_draft(state):
    plant = make_plant()
    edition = editions.put_in_force(plant)
    KnowledgeEdition.objects.filter(pk=edition.pk).update(state=state)
    edition.pk, edition.number, edition.state = None, 2, state

    with pytest.raises(IntegrityError):
        edition.save(force_insert=True)


def test_a_diagnosis_keeps_by_which_edition_it_was_made():
    conveyor = make_conveyor()
    case = make_case(conveyor)
    walk_with_trouble_on_return(case)
    by_files = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    edition = editions.put_in_force(conveyor.plant, rename)

    made = diagnosing.diagnose_case(case_id=case.pk, now=later(hours=2))

    assert (by_files.edition, made.edition) == (None, edition)
    assert made.knowledge_version == edition.version_text
    assert by_files.knowledge_version == knowledge_files.current().version


def test_a_close_look_may_name_only_what_the_plant_knows():
    conveyor = make_conveyor()
    editions.put_in_force(conveyor.plant, drop_cleaner)
    elsewhere, here = make_case(), make_case(conveyor)

    def look(case):
        return findings.record_finding(
            case_id=case.pk, cause="cleaner_presses_unevenly", is_present=True, by=None, now=NOW
        )

    assert look(elsewhere).pk
    with pytest.raises(findings.UnknownCause):
        look(here)


def test_pages_show_the_knowledge_of_the_plant_that_is_asked_for():
    plant, other = make_plant(name="Alpha quay"), make_plant(name="Beta quay")
    editions.put_in_force(other, rename)
    client = signed_in(make_person(Role.CLERK, plants=[plant, other]))
    address = reverse("cause", args=["return_idler_skewed"])

    own = client.get(address)
    asked = client.get(address, {"plant": other.code})

    assert "Return set turned" not in own.content.decode()
    assert "Return set turned" in asked.content.decode()
    assert f"{reverse('knowledge')}?plant={other.code}" in asked.content.decode()


@pytest.mark.parametrize("name", ["knowledge", "rules"])
def test_knowledge_of_another_plant_is_not_there(name):
    plant, other = make_plant(), make_plant()
    client = signed_in(make_person(Role.ADMINISTRATOR, Role.LEAD, plants=[plant]))

    response = client.get(reverse(name), {"plant": other.code})

    assert response.status_code == 404


def test_a_cause_that_was_dropped_can_still_be_read_from_an_old_case():
    plant = make_plant()
    editions.put_in_force(plant, drop_cleaner)
    client = signed_in(make_person(Role.CLERK, plants=[plant]))

    text = client.get(reverse("cause", args=["cleaner_presses_unevenly"])).content.decode()

    assert "The plant has dropped this cause since" in text


def test_a_list_that_names_many_causes_asks_once_for_them(django_assert_max_num_queries):
    conveyor = make_conveyor()
    editions.put_in_force(conveyor.plant, rename)
    for _number in range(6):
        case = make_case(conveyor)
        case.cause, case.cause_class = "return_idler_skewed", "return_idler"
        case.save()
    client = signed_in(make_person(Role.CLERK, plants=[conveyor.plant]))

    with django_assert_max_num_queries(30) as asked:
        text = client.get(reverse("cases")).content.decode()

    editions_asked = [
        one for one in asked.captured_queries if "diagnostics_knowledgeedition" in one["sql"]
    ]
    assert text.count("Return set turned") == 6
    assert len(editions_asked) == 1


def test_a_draft_somebody_went_on_with_is_not_remembered_as_what_it_was(monkeypatch):
    monkeypatch.setattr(shelf, "_kept", {})
    draft = editions.begin(make_plant())
    read_before = KnowledgeEdition.objects.defer("contents").get(pk=draft.pk)
    editions.change_rule(draft, "row-return", says="Other words.")

    shelf.library_in(read_before)

    untouched = shelf.library_in(editions.begin(make_plant()))
    assert untouched.knowledge.rules == knowledge_files.current().rules
