"""Entries of a draft through their forms: what is asked, what is refused, what is kept."""

from http import HTTPStatus

import pytest
from django.urls import reverse

from diagnostics import knowledge_files
from diagnostics.entry_fields_form import Choices, EntryFieldsForm
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import digest_of, mark_of
from diagnostics.models import KnowledgeChange, KnowledgeEdition
from diagnostics.rule_form import RuleForm
from diagnostics.selectors import shelf
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


def test_a_draft_is_begun_edited_and_published_on_the_pages(plant, lead):
    lead.post(at("edition-new"), {"title": "Cleaners in winter"})
    draft = KnowledgeEdition.objects.get(plant=plant)
    changed = {"strength-cause-tail_pulley_skewed": "4", "when-load": ["off only when loaded"]}

    lead.post(at("edition-rule", draft.pk, RULE), typed(draft, says="Look at the tail.", **changed))
    asked = lead.get(at("edition-publish", draft.pk)).content.decode()
    draft.refresh_from_db()
    lead.post(at("edition-publish", draft.pk), {"why": "tried", "version": draft.version})

    assert "Look at the tail." in asked
    assert "speaks clearly for (4)" in asked
    rule = next(one for one in shelf.knowledge_of(plant.pk).rules if one.slug == RULE)
    ratios = {one.cause: one.ratio for one in rule.speaks}
    assert rule.when["load"] == {"off only when loaded"}
    assert (ratios["tail_pulley_skewed"], ratios["tail_pulley_build_up"]) == (4, 8)
    assert rule.version == 2


def test_a_form_sent_as_it_came_changes_nothing(lead, draft):
    lead.post(at("edition-rule", draft.pk, RULE), typed(draft))

    assert not KnowledgeChange.objects.exists()
    assert digest_of(KnowledgeEdition.objects.get(pk=draft.pk).contents) == draft.digest


def test_every_installed_rule_goes_through_its_form_unchanged():
    causes = knowledge_files.current().causes
    for slug, rule in entries_of(editions.installed(), Kind.RULE).items():
        shown = RuleForm(entry=rule, causes=causes)
        sent = {one: shown[one].value() for one in shown.fields if shown[one].value()}

        form = RuleForm({**sent, "why": "looked"}, entry=rule, causes=causes)

        assert form.is_valid(), (slug, form.errors)
        assert form.rule() == rule


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"says": ""}, "says"),
        ({"says": "x" * 1201}, "says"),
        ({"source": ""}, "source"),
        ({"why": " "}, "why"),
        ({"when-onset": ["on the moon"]}, "when-onset"),
        ({"when-onset": []}, "__all__"),
        ({"strength-class-loading": "77"}, "strength-class-loading"),
        ({"strength-class-loading": "own", "figure-class-loading": ""}, "figure-class-loading"),
        ({"strength-class-loading": "own", "figure-class-loading": "0"}, "figure-class-loading"),
        ({"strength-class-loading": "own", "figure-class-loading": "1e9"}, "figure-class-loading"),
        ({"strength-class-loading": "own", "figure-class-loading": "nan"}, "figure-class-loading"),
        ({"strength-class-loading": "own", "figure-class-loading": "ja"}, "figure-class-loading"),
        ({"says": "a\x00b"}, "says"),
    ],
)
def test_a_wrong_field_is_named_and_what_was_typed_is_kept(lead, draft, changes, field):
    sent = typed(draft, **{"says": "Typed by hand.", **changes})

    response = lead.post(at("edition-rule", draft.pk, RULE), sent)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert list(response.context["form"].errors) == [field]
    assert "Typed by hand." in response.content.decode() or "says" in changes
    assert not KnowledgeChange.objects.exists()


def test_the_second_of_two_people_sees_both_and_decides(lead, draft):
    before = typed(draft, says="The second.")
    editions.change_rule(draft, RULE, says="The first was here.")

    refused = lead.post(at("edition-rule", draft.pk, RULE), before)
    seen = refused.context["form"]["seen"].value()
    says_now = rule_in(draft)["says"]
    lead.post(at("edition-rule", draft.pk, RULE), {**before, "seen": seen})

    assert refused.status_code == HTTPStatus.CONFLICT
    assert "The first was here." in refused.content.decode()
    assert "The second." in refused.content.decode()
    assert says_now == "The first was here."
    assert rule_in(draft)["says"] == "The second."


def test_a_new_rule_needs_a_name_nobody_has(lead, draft):
    sent = {
        "slug": "own-cleaner-rule",
        "says": "The belt moves over where the cleaner was set.",
        "when-remarks": ["cleaner or plough presses on one side"],
        "strength-cause-cleaner_presses_unevenly": "8",
        "source": "our own cases",
        "why": "twice last winter",
    }

    kept = lead.post(at("edition-rule-new", draft.pk), sent)
    again = lead.post(at("edition-rule-new", draft.pk), sent)

    assert kept.status_code == HTTPStatus.FOUND
    assert rule_in(draft, "own-cleaner-rule")["speaks"] == [
        {"cause": "cleaner_presses_unevenly", "ratio": 8}
    ]
    assert again.status_code == HTTPStatus.CONFLICT


@pytest.mark.parametrize(
    ("kind", "slug"),
    [
        ("cause", "structure_bowed"),
        ("work_method", "square-troughing-idlers"),
        ("caution", "slippery"),
        ("rule", RULE),
    ],
)
def test_every_kind_is_edited_as_text_and_sent_unchanged_changes_nothing(lead, draft, kind, slug):
    address = at("edition-entry", draft.pk, kind, slug) + "?as_text"
    text = lead.get(address).context["form"]["text"].value()
    seen = lead.get(address).context["form"]["seen"].value()

    response = lead.post(address, {"text": text, "why": "looked", "seen": seen})

    assert response.status_code == HTTPStatus.FOUND
    assert text.startswith(f"slug: {slug}\n")
    assert not KnowledgeChange.objects.exists()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "- a list",
        "just words",
        "slug: slippery\nsays: [",
        "slug: slippery\nslug: slippery\nsays: twice\nsource: own",
        "slug: !!python/object/apply:os.system [ls]",
        "slug: slippery\nsays: &a [x]\nsource: *a",
        "{" * 40,
        "slug: slippery\nsays: ok then\nsource: own\nmore: field",
        "slug: another\nsays: ok then\nsource: own",
        "slug: slippery\nsays: 5\nsource: own",
        "slug: slippery\nsays: ok \x07 bell\nsource: own",
        "x" * 40_001,
    ],
)
def test_hostile_text_is_refused_at_its_field_with_nothing_changed(lead, draft, text):
    address = at("edition-entry", draft.pk, "caution", "slippery") + "?as_text"
    seen = lead.get(address).context["form"]["seen"].value()

    response = lead.post(address, {"text": text, "why": "looked", "seen": seen})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert list(response.context["form"].errors) == ["text"]
    assert not KnowledgeChange.objects.exists()
    assert KnowledgeEdition.objects.get(pk=draft.pk).version == 1


KINDS = [Kind.CAUSE, Kind.WORK_METHOD, Kind.CAUTION]


def as_sent(form):
    """The fields of a form as a browser sends them."""
    values = ((name, form[name].value()) for name in form.fields)
    return {name: value for name, value in values if value not in (None, "", False, [])}


@pytest.mark.parametrize("kind", KINDS)
def test_every_installed_entry_goes_through_its_form_unchanged(kind):
    documents = editions.installed()
    choices = Choices.of(documents)
    for slug, entry in entries_of(documents, kind).items():
        sent = as_sent(EntryFieldsForm(kind=kind, entry=entry, choices=choices))

        form = EntryFieldsForm({**sent, "why": "looked"}, kind=kind, entry=entry, choices=choices)

        assert form.is_valid(), (slug, form.errors)
        assert mark_of(form.wanted()) == mark_of(entry), slug


def test_a_cause_is_changed_and_a_new_one_written_by_fields(lead, draft):
    address = at("edition-entry", draft.pk, "cause", "structure_bowed")
    sent = as_sent(lead.get(address).context["form"]) | {"why": "two belts"}

    lead.post(address, {**sent, "confirm.minutes": "60", "shift": "troughing idler"})
    new = {**sent, "slug": "own_cause", "name": "Stringer loose", "confirm.what": "Knock on it."}
    lead.post(at("edition-entry-new", draft.pk, "cause"), {**new, "seen": ""})

    draft.refresh_from_db()
    causes = entries_of(draft.contents, Kind.CAUSE)
    assert (causes["structure_bowed"]["confirm"]["minutes"]) == 60
    assert causes["structure_bowed"]["shift"] == "troughing idler"
    assert causes["own_cause"]["name"] == "Stringer loose"
    assert draft.changes.count() == 2


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"name": "x" * 121}, "name"),
        ({"class": "gremlins"}, "class"),
        ({"cautions": ["gremlins"]}, "cautions"),
        ({"cautions": []}, "cautions"),
        ({"confirm.minutes": "0"}, "confirm.minutes"),
        ({"confirm.minutes": "nan"}, "confirm.minutes"),
        ({"weight": "-1"}, "weight"),
        ({"look_alikes": "- cause: structure_bowed\n  tell_apart: itself"}, "look_alikes"),
        ({"look_alikes": "- cause: gremlins\n  tell_apart: by their hats"}, "look_alikes"),
        ({"look_alikes": "- {"}, "look_alikes"),
        ({"look_alikes": "!!python/none x"}, "look_alikes"),
        ({"name": "Carrying idlers out of square"}, "name"),
        ({"why": ""}, "why"),
    ],
)
def test_a_wrong_field_of_a_cause_is_named(lead, draft, changes, field):
    address = at("edition-entry", draft.pk, "cause", "structure_bowed")
    sent = as_sent(lead.get(address).context["form"]) | {"why": "two belts"}

    response = lead.post(address, {**sent, **changes})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert list(response.context["form"].errors) == [field]
    assert not KnowledgeChange.objects.exists()


@pytest.mark.parametrize(
    "value",
    ["2026-02-03", "!!set {a, b}", "!!binary aGVsbG8=", "!!bool perhaps", "0x" + "f" * 5000],
)
@pytest.mark.parametrize("is_stale", [False, True])
def test_a_text_that_holds_what_no_entry_holds_is_refused_in_words(lead, draft, value, is_stale):
    where = at("edition-entry", draft.pk, "rule", RULE) + "?as_text=1"
    seen = "another" if is_stale else mark_of(rule_in(draft))

    response = lead.post(
        where, {"text": f"slug: {RULE}\nsource: {value}", "why": "seen twice", "seen": seen}
    )

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "rules.yaml" in response.content.decode()
    assert not draft.changes.exists()


def test_steps_that_hold_a_day_are_refused_in_words(lead, draft):
    method = next(iter(entries_of(draft.contents, Kind.WORK_METHOD)))

    response = lead.post(
        at("edition-entry", draft.pk, "work_method", method), {"steps": "- what: 2026-02-03"}
    )

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "must be a text" in response.content.decode()
