"""The Knowledge pages as each role sees them."""

import re

import pytest
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from diagnostics import knowledge_files
from diagnostics.inference.feature_words import Feature
from diagnostics.knowledge_words import FEATURE_WORDS
from diagnostics.views.knowledge import RULES_A_PAGE
from diagnostics.views.searching import CAUSES_A_PAGE
from plant.roles import Role

pytestmark = pytest.mark.django_db
KNOWLEDGE = knowledge_files.current()


def signed_in(role: Role) -> Client:
    person = get_user_model().objects.create_user(username=f"{role.name.lower()}@example.org")
    person.groups.add(Group.objects.get(name=role.value))
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def technician() -> Client:
    return signed_in(Role.TECHNICIAN)


def page(client: Client, address: str, **asked: str) -> str:
    response = client.get(address, asked)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize("role", Role)
def test_every_role_reads_causes_a_cause_and_the_rules(role: Role) -> None:
    client = signed_in(role)

    assert "Carrying idlers out of square" in page(client, reverse("knowledge"))
    assert "Material lands to one side" in page(
        client, reverse("cause", args=["off_centre_loading"])
    )
    assert KNOWLEDGE.rules[0].says in page(client, reverse("rules"))


@pytest.mark.parametrize("name", ["knowledge", "rules"])
def test_a_stranger_is_sent_to_sign_in(name: str) -> None:
    response = Client().get(reverse(name))

    assert response.status_code == 302
    assert response["Location"].startswith(reverse("sign-in"))


def test_a_stranger_reads_no_cause() -> None:
    response = Client().get(reverse("cause", args=["off_centre_loading"]))

    assert response.status_code == 302


@pytest.mark.parametrize("slug", KNOWLEDGE.causes)
def test_every_cause_has_its_page(technician: Client, slug: str) -> None:
    text = page(technician, reverse("cause", args=[slug]))
    cause = KNOWLEDGE.causes[slug]
    plain = " ".join(re.sub(r"<[^>]+>", " ", text).split())

    for part in (cause.shows, cause.confirm.what, cause.correct, cause.tolerance, cause.source):
        assert " ".join(part.split()) in plain.replace("&#x27;", "'").replace("&quot;", '"')
    assert all(reverse("cause", args=[one.cause]) in text for one in cause.look_alikes)


def test_the_cautions_stand_before_everything_else(technician: Client) -> None:
    text = page(technician, reverse("cause", args=["take_up_carriage_skewed"]))
    cautions = text.index("Never stand or pass under a counterweight")

    for later in ("Where and how it shows", "How to be sure", "How to mend it", "Work method"):
        assert cautions < text.index(later)


def test_a_cause_page_gives_strength_in_words_and_number(technician: Client) -> None:
    text = page(technician, reverse("cause", args=["off_centre_loading"]))

    assert re.search(r"speaks strongly for</td>\s*<td[^>]*>8<", text)
    assert re.search(r"speaks \w+ against</td>\s*<td[^>]*>0\.\d+<", text)


def test_a_check_that_stops_the_belt_says_so(technician: Client) -> None:
    stopped = page(technician, reverse("cause", args=["tail_pulley_skewed"]))
    running = page(technician, reverse("cause", args=["wind_on_belt"]))

    assert "Belt stopped and locked out." in stopped
    assert "About 30 minutes." in stopped
    assert "Belt may run; from outside the guards." in running


def test_an_unknown_cause_is_not_found(technician: Client) -> None:
    assert technician.get(reverse("cause", args=["gremlins"])).status_code == 404


@pytest.mark.parametrize("name", ["knowledge", "rules"])
def test_knowledge_is_only_read_here(technician: Client, name: str) -> None:
    assert technician.post(reverse(name)).status_code == 405


def test_plain_words_find_a_cause_and_stay_in_the_box(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), words="lagging worn")

    assert reverse("cause", args=["head_lagging_worn_one_side"]) in text
    assert reverse("cause", args=["wind_on_belt"]) not in text
    assert 'value="lagging worn"' in text


def test_words_that_fit_nothing_say_what_to_do(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), words="xylophone")

    assert "Nothing fits." in text
    assert "Show all causes" in text


def test_words_are_shown_as_typed_and_never_as_markup(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), words="<script>alert(1)</script>")

    assert "<script>alert(1)" not in text
    assert "&lt;script&gt;alert(1)" in text


def test_class_and_zone_narrow_the_list(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), cause_class="take_up", zone="take-up")

    assert reverse("cause", args=["take_up_guides_bent"]) in text
    assert reverse("cause", args=["off_centre_loading"]) not in text


@pytest.mark.parametrize(
    "asked",
    [
        {"cause_class": "gearbox"},
        {"zone": "moon"},
        {"words": "a\u0000b"},
        {"words": "x" * 300},
    ],
)
def test_a_question_that_cannot_be_asked_is_answered_in_the_form(
    technician: Client, asked: dict[str, str]
) -> None:
    text = page(technician, reverse("knowledge"), **asked)

    assert "This cannot be looked for" in text
    assert 'class="error"' in text


@pytest.mark.parametrize("number", ["0", "-1", "99999999999", "two", ""])
def test_a_page_number_out_of_range_shows_a_page(technician: Client, number: str) -> None:
    assert 'class="causes"' in page(technician, reverse("knowledge"), page=number)


def test_all_causes_are_reached_page_by_page(technician: Client) -> None:
    seen: set[str] = set()
    pages = -(-len(KNOWLEDGE.causes) // CAUSES_A_PAGE)
    for number in range(1, pages + 1):
        text = page(technician, reverse("knowledge"), page=str(number))
        seen |= set(re.findall(r"/knowledge/causes/([a-z_]+)/", text))

    assert seen == set(KNOWLEDGE.causes)


def test_paging_keeps_the_question(technician: Client) -> None:
    text = page(technician, reverse("knowledge"), zone="mid carrying run")

    assert "zone=mid+carrying+run&amp;page=2" in text


def test_only_the_list_is_sent_while_typing(technician: Client) -> None:
    response = technician.get(
        reverse("knowledge"), {"words": "ice"}, headers={"HX-Request": "true"}
    )
    text = response.content.decode()

    assert reverse("cause", args=["frozen_rolls"]) in text
    assert "<html" not in text
    assert "HX-Request" in response["Vary"]


def test_the_rules_are_paged_and_come_whole_for_printing(technician: Client) -> None:
    first = page(technician, reverse("rules"))
    whole = page(technician, reverse("rules") + "?whole")

    assert first.count("<summary>Speaks about") == RULES_A_PAGE
    assert whole.count("<details open>") == len(KNOWLEDGE.rules)


def test_a_page_asks_the_database_only_for_the_person_and_whose_knowledge_it_is(
    technician: Client, django_assert_max_num_queries
) -> None:
    with django_assert_max_num_queries(10):
        technician.get(reverse("knowledge"))


@pytest.mark.parametrize(
    "address",
    ["/knowledge/", "/knowledge/rules/?whole", "/knowledge/causes/structure_bowed/"],
)
def test_the_pages_need_no_inline_style_or_script(technician: Client, address: str) -> None:
    text = page(technician, address)

    assert not re.search(r"\sstyle=|\son[a-z]+=|<style|javascript:", text)
    assert not re.search(r"<script(?![^>]*\bsrc=)[^>]*>\s*[^<\s]", text)


def test_short_names_of_sources_are_spelled_out(technician: Client) -> None:
    text = page(technician, reverse("cause", args=["carrying_idlers_skewed"]))

    assert "US Army TM 5-3895-374-24-2" in text


def test_every_feature_a_rule_may_ask_for_has_words(technician: Client) -> None:
    text = page(technician, reverse("rules") + "?whole")

    for feature in Feature:
        assert f"<dt>{FEATURE_WORDS[feature]}</dt>" in text
