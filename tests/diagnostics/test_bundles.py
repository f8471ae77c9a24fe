"""Bundles between plants: written, read, compared, taken into a draft; nothing before and by none
but the keepers of the plant."""

from functools import cache
from http import HTTPStatus

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from diagnostics import knowledge_files
from diagnostics.bundles import reading, writing
from diagnostics.bundles.shape import SCHEMA, Heading
from diagnostics.knowledge_comparison import Kind, compare, entries_of
from diagnostics.knowledge_digest import digest_of
from diagnostics.models import KnowledgeBundle, KnowledgeChange, KnowledgeEdition
from diagnostics.selectors import bundles as selector
from diagnostics.services import bundle_taking
from diagnostics.services.bundle_taking import NothingToTakeIn
from diagnostics.services.knowledge_keeping import DraftHasChanged, EntryRefused
from plant.roles import Role
from tests.diagnostics import bundle_rows, editions
from tests.diagnostics.factories import NOW, make_person, make_plant
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


def at(name, *args):
    return reverse(name, args=args)


@cache
def written(change):
    """The installed knowledge with a change, as another plant hands it on."""
    documents = editions.installed()
    change(documents)
    return writing.text_of(documents, Heading("2026-11-28", "Far Quarry")).encode()


def elsewhere(documents):
    """Another plant's knowledge: a rule of its own, another weight, a rule without use to it."""
    rules = documents["rules.yaml"]["rules"]
    rules[:] = [one for one in rules if one["slug"] != "erratic-empty"]
    rules.append(editions.cleaner_rule(version=7))
    editions.entry(documents, "rules", RULE)["says"] = "Look at the tail."
    editions.entry(documents, "rules", "row-carrying")["version"] = 30
    editions.entry(documents, "causes", "structure_bowed")["weight"] = 9


def take_in(bundle, *, kinds=tuple(Kind), drops=False, seen=None, why="theirs is tried"):
    return bundle_taking.take_into_draft(
        bundle_id=bundle.pk,
        kinds=kinds,
        is_dropping=drops,
        seen=selector.preview_of(bundle).seen if seen is None else seen,
        why=why,
        by=None,
        now=NOW,
    )


def untouched():
    return not KnowledgeEdition.objects.exists() and not KnowledgeBundle.objects.exists()


def slugs(changes):
    return {(one.kind.value, one.slug) for one in changes}


def test_a_bundle_is_compared_and_counts_for_nothing_yet(plant):
    bundle = bundle_rows.take(plant, written(elsewhere))

    preview = selector.preview_of(bundle)

    assert not KnowledgeEdition.objects.exists()
    assert slugs(preview.changes) == {
        ("rule", "own-cleaner-rule"),
        ("rule", RULE),
        ("cause", "structure_bowed"),
    }
    changed = next(one for one in preview.changes if one.slug == RULE)
    assert [one.path for one in changed.fields] == [("says",)]
    installed = knowledge_files.documents()
    dropped = next(
        one["says"] for one in installed["rules.yaml"]["rules"] if one["slug"] == "erratic-empty"
    )
    assert preview.only_here == [(Kind.RULE, dropped)]
    rules = preview.counts[0]
    same = len(entries_of(installed, Kind.RULE)) - 2
    assert (rules.new, rules.changed, rules.same, rules.gone) == (1, 1, same, 1)


def test_taken_in_a_draft_is_begun_that_says_what_the_bundle_says(plant):
    bundle = bundle_rows.take(plant, written(elsewhere))

    draft = take_in(bundle)

    assert draft.is_draft
    assert "Far Quarry" in draft.title
    rules = entries_of(draft.contents, Kind.RULE)
    assert rules[RULE]["says"] == "Look at the tail."
    # What only this plant has stays unless somebody asks for the contrary.
    assert "erratic-empty" in rules
    assert (rules["own-cleaner-rule"]["version"], rules[RULE]["version"]) == (1, 2)
    assert rules["row-carrying"]["version"] == 1
    assert entries_of(draft.contents, Kind.CAUSE)["structure_bowed"]["weight"] == 9
    assert {one.why for one in draft.changes.all()} == {"theirs is tried"}
    bundle.refresh_from_db()
    assert bundle.taken_into == draft


def test_a_bundle_taken_in_whole_makes_the_plants_alike_but_for_versions(plant):
    bundle = bundle_rows.take(plant, written(elsewhere))
    theirs = editions.installed()
    elsewhere(theirs)
    # Each plant counts the versions of its own rules.
    counted = Kind.RULE, [("version",)]

    draft = take_in(bundle, drops=True)

    for one in compare(theirs, draft.contents):
        assert (one.kind, [field.path for field in one.fields]) == counted, one.slug
    assert "erratic-empty" not in entries_of(draft.contents, Kind.RULE)


def test_what_a_plant_hands_on_comes_back_as_nothing_new(plant):
    editions.publish_change(plant, RULE, says="Look at the tail.")
    standing = KnowledgeEdition.objects.get(plant=plant)
    text = selector.bundle_text(plant, standing, NOW)

    bundle = bundle_rows.take(plant, text.encode())

    assert selector.preview_of(bundle).changes == []
    assert (bundle.from_plant, bundle.from_edition) == (plant.name, standing.version_text)
    with pytest.raises(NothingToTakeIn):
        take_in(bundle, drops=True)


def test_only_the_chosen_kinds_are_taken_in(plant):
    bundle = bundle_rows.take(plant, written(elsewhere))

    draft = take_in(bundle, kinds=[Kind.CAUSE], drops=True)

    assert {(one.kind, one.slug) for one in draft.changes.all()} == {("cause", "structure_bowed")}


def test_a_draft_is_gone_on_with_and_its_own_words_are_named_before_they_are_lost(plant):
    draft = editions.change_rule(editions.begin(plant), RULE, says="Look twice at the tail.")
    bundle = bundle_rows.take(plant, written(elsewhere))

    preview = selector.preview_of(bundle)
    kept = take_in(bundle)

    assert preview.draft == draft
    assert preview.written_over == {("rule", RULE)}
    assert kept == draft
    assert entries_of(kept.contents, Kind.RULE)[RULE]["says"] == "Look at the tail."


def test_what_changed_since_it_was_compared_is_not_written_over(plant):
    bundle = bundle_rows.take(plant, written(elsewhere))
    seen = selector.preview_of(bundle).seen
    draft = editions.change_rule(editions.begin(plant), RULE, says="Look twice at the tail.")

    with pytest.raises(DraftHasChanged):
        take_in(bundle, seen=seen)

    draft.refresh_from_db()
    assert entries_of(draft.contents, Kind.RULE)[RULE]["says"] == "Look twice at the tail."


def test_kinds_that_do_not_go_together_are_refused_and_no_draft_is_left(plant):
    def own_cause(documents):
        cause = {**editions.entry(documents, "causes", "structure_bowed"), "slug": "frost_heave"}
        cause |= {"name": "Frost heave", "confirm": {**cause["confirm"], "what": "Dig and look."}}
        documents["causes.yaml"]["causes"].append(cause)
        speaks = [{"cause": "frost_heave", "ratio": 3}]
        documents["rules.yaml"]["rules"].append(editions.cleaner_rule(speaks=speaks))

    bundle = bundle_rows.take(plant, written(own_cause))

    with pytest.raises(EntryRefused, match=r"rules.yaml, own-cleaner-rule, speaks.*frost_heave"):
        take_in(bundle, kinds=[Kind.RULE])

    assert not KnowledgeEdition.objects.exists()
    assert take_in(bundle).changes.count() == 2


def test_only_the_latest_bundles_are_kept(plant):
    content = bundle_rows.text(cautions=[bundle_rows.caution()])
    first = bundle_rows.take(plant, content)
    for _again in range(bundle_taking.KEPT_A_PLANT):
        bundle_rows.take(plant, content)

    assert KnowledgeBundle.objects.count() == bundle_taking.KEPT_A_PLANT
    assert not KnowledgeBundle.objects.filter(pk=first.pk).exists()


# --- pages ---


def sent(content, name="far-quarry.yaml"):
    return {"file": SimpleUploadedFile(name, content)}


def test_a_bundle_goes_from_one_plant_to_another_by_the_pages(plant, lead):
    other = make_plant(code="QRY", name="Larkwater Quarry")
    editions.publish_change(other, RULE, says="Look at the tail.")
    other_lead = signed_in(make_person(Role.LEAD, other))

    download = other_lead.get(at("bundle-in-force"))
    looked = lead.post(at("bundles"), sent(download.content), follow=True)
    bundle = KnowledgeBundle.objects.get()
    page = looked.content.decode()
    seen = looked.context["form"].initial["seen"]
    taken = lead.post(
        at("bundle", bundle.pk), {"kinds": ["rule"], "why": "they have it right", "seen": seen}
    )

    assert download["Content-Type"] == "application/yaml"
    assert 'filename="knowledge-QRY-edition-1.yaml"' in download["Content-Disposition"]
    assert "Larkwater Quarry" in page
    assert "<ins>Look at the tail.</ins>" in page
    draft = KnowledgeEdition.objects.get(plant=plant)
    assert taken["Location"] == at("edition", draft.pk)
    assert draft.is_draft
    assert entries_of(draft.contents, Kind.RULE)[RULE]["says"] == "Look at the tail."


def test_any_edition_is_handed_on_as_it_says(plant, lead):
    first = editions.publish_change(plant, RULE, says="First words.")
    editions.publish_change(plant, RULE, says="Second words.")

    found = reading.read(lead.get(at("edition-bundle", first.pk)).content).value

    first.refresh_from_db()
    assert {key: found[key] for key in ("rules", "causes")} == {
        key: first.contents[f"{key}.yaml"][key] for key in ("rules", "causes")
    }
    assert found["plant"] == plant.name
    assert found["edition"] == first.version_text


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"rules: !!python/name:os.system\n", "tags"),
        (b"a: &a [*a]\n", "anchors"),
        (b"format: loopwright-knowledge\nformat_version: 9\n", "line 2, format_version: version 9"),
        (bundle_rows.text(cautions=[bundle_rows.caution(source="")]), "cautions, wind-on"),
        (b"<script>alert(1)</script>", "format first"),
        (b"\xff\xfe", "UTF-8"),
        (b"", "empty"),
        (b"#" * 2_000_001, "larger than 2 MB"),
    ],
)
def test_a_refused_bundle_is_told_and_changes_nothing(lead, content, says):
    answer = lead.post(at("bundles"), sent(content))

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert says in answer.content.decode()
    assert b"<script>alert" not in answer.content
    assert untouched()


def test_no_file_at_all_is_told(lead):
    answer = lead.post(at("bundles"), {})

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert answer.context["form"].errors["file"]


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"why": " "}, HTTPStatus.BAD_REQUEST, "why"),
        ({"kinds": []}, HTTPStatus.BAD_REQUEST, "kinds"),
        ({"kinds": ["spell"]}, HTTPStatus.BAD_REQUEST, "kinds"),
        ({"why": "a\x00b"}, HTTPStatus.BAD_REQUEST, "why"),
        ({"seen": "0" * 64}, HTTPStatus.CONFLICT, "__all__"),
    ],
)
def test_a_form_filled_in_wrongly_keeps_what_was_typed(plant, lead, changes, status, field):
    bundle = bundle_rows.take(plant, written(elsewhere))
    seen = selector.preview_of(bundle).seen
    typed = {"kinds": ["rule"], "why": "they have it right", "drops": "on", "seen": seen}

    answer = lead.post(at("bundle", bundle.pk), typed | changes)

    assert answer.status_code == status
    assert field in answer.context["form"].errors
    assert answer.context["form"]["drops"].value()
    assert not KnowledgeChange.objects.exists()
    if status == HTTPStatus.CONFLICT:
        # Sent again, what stands now was looked at.
        assert answer.context["form"]["seen"].value() == digest_of(knowledge_files.documents())


@pytest.mark.parametrize("role", Role)
def test_only_keepers_of_the_plant_hand_on_and_bring_in(plant, role):
    draft = editions.begin(plant)
    few = bundle_rows.text(cautions=[bundle_rows.caution()])
    bundle = bundle_rows.take(plant, few)
    client = signed_in(make_person(role, plant))
    doing = [
        at("bundles"),
        at("bundle", bundle.pk),
        at("bundle-in-force"),
        at("edition-bundle", draft.pk),
    ]
    expected = HTTPStatus.OK if role in KEEPERS else HTTPStatus.FORBIDDEN

    assert {client.get(one).status_code for one in doing} == {expected}
    assert client.get(at("bundle-format")).status_code == HTTPStatus.OK
    assert (at("bundles") in client.get(at("edition", draft.pk)).content.decode()) == (
        role in KEEPERS
    )
    if role not in KEEPERS:
        assert client.post(at("bundles"), sent(few)).status_code == expected
        typed = {"kinds": ["rule"], "why": "x", "seen": draft.digest}
        assert client.post(at("bundle", bundle.pk), typed).status_code == expected
        assert KnowledgeBundle.objects.count() == 1
        assert not KnowledgeChange.objects.exists()


def test_another_plants_bundles_and_editions_are_not_there(plant):
    draft = editions.begin(plant)
    bundle = bundle_rows.take(plant, bundle_rows.text(cautions=[bundle_rows.caution()]))
    stranger = signed_in(make_person(Role.LEAD, make_plant(code="QRY", name="Larkwater Quarry")))

    for address in (
        at("bundle", bundle.pk),
        at("edition-bundle", draft.pk),
        f"{at('bundles')}?plant={plant.code}",
        f"{at('bundle-in-force')}?plant={plant.code}",
    ):
        assert stranger.get(address).status_code == HTTPStatus.NOT_FOUND
    assert stranger.post(at("bundle", bundle.pk), {}).status_code == HTTPStatus.NOT_FOUND
    assert bundle.file_name not in stranger.get(at("bundles")).content.decode()


def test_the_page_of_the_format_tells_every_field_of_the_schema(lead):
    page = lead.get(at("bundle-format")).content.decode()
    schema = lead.get(at("bundle-schema"))

    assert schema["Content-Type"] == "application/schema+json"
    assert schema.json() == SCHEMA
    for kind in Kind:
        for name in SCHEMA["properties"][kind.key]["items"]["properties"]:
            assert f"<code>{name}</code>" in page
    for word in SCHEMA["properties"]["causes"]["items"]["properties"]["class"]["enum"]:
        assert f"<code>{word}</code>" in page


def test_the_example_of_the_format_page_can_be_brought_in(plant, lead):
    example = lead.get(at("bundle-format")).context["example"]

    assert bundle_rows.take(plant, example.encode()).contents["cautions"]


def test_pages_of_bundles_hold_a_fixed_number_of_queries(
    plant, lead, django_assert_max_num_queries
):
    few = bundle_rows.text(cautions=[bundle_rows.caution()])
    bundles = [bundle_rows.take(plant, few) for _again in range(5)]
    bundle = bundles[0]
    take_in(bundle)

    with django_assert_max_num_queries(14):
        lead.get(at("bundles"))
    with django_assert_max_num_queries(14):
        lead.get(at("bundle", bundle.pk))
