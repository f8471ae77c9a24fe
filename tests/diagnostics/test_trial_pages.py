"""The pages of a trial: from the draft, while it runs, what came of it, and before publishing."""

import csv
import io
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import Diagnosis, KnowledgeTrial
from diagnostics.services import knowledge_trying
from plant.models import Conveyor
from plant.roles import Role
from plant.services import claiming
from tests.diagnostics import editions, factories, tried_cases
from tests.diagnostics.factories import make_person
from tests.diagnostics.tried_cases import SPLICE, TAIL, ask, close_call, make_cases, tried
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def belt(plant) -> Conveyor:
    return factories.make_bare_conveyor(plant, tag="Q7")


@pytest.fixture
def lead(plant) -> Client:
    return signed_in(make_person(Role.LEAD, plant))


def text_of(client: Client, name: str, pk: int, **asked: str) -> str:
    response = client.get(reverse(name, args=[pk]), asked)
    assert response.status_code == HTTPStatus.OK
    return " ".join(response.content.decode().split())


def test_a_draft_is_tried_from_its_page(lead, plant, belt):
    make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    draft = tried_cases.begin_draft(plant)
    before = text_of(lead, "edition", draft.pk)
    assert "Try it on 2 confirmed cases" in before
    assert "never tried" in before

    response = lead.post(reverse("edition-try", args=[draft.pk]))

    one = KnowledgeTrial.objects.get()
    assert response["Location"] == reverse("trial", args=[one.pk])
    assert one.asked_by is not None
    knowledge_trying.do_owed()
    after = text_of(lead, "edition", draft.pk)
    assert "becomes right in 1 case and wrong in 1." in after
    assert "never tried" not in after


def test_a_trial_that_is_owed_shows_how_far_it_is_and_can_be_stopped(lead, plant):
    one = ask(editions.begin(plant))
    assert "taken up within seconds" in text_of(lead, "trial", one.pk)
    KnowledgeTrial.objects.filter(pk=one.pk).update(
        worked_at=timezone.now(), cases_done=250, cases_all=1000
    )
    part = lead.get(reverse("trial-progress", args=[one.pk]))
    assert "250 of 1000 cases" in part.content.decode()
    assert "HX-Refresh" not in part

    lead.post(reverse("trial-stop", args=[one.pk]))

    assert "stops as soon as it can" in text_of(lead, "trial", one.pk)
    KnowledgeTrial.objects.filter(pk=one.pk).update(state="stopped", ended_at=timezone.now())
    assert lead.get(reverse("trial-progress", args=[one.pk]))["HX-Refresh"] == "true"
    assert "nothing of it was kept" in text_of(lead, "trial", one.pk)


def test_a_worker_that_fell_silent_is_told_of(lead, plant):
    one = ask(editions.begin(plant))
    long_ago = timezone.now() - claiming.SILENCE
    KnowledgeTrial.objects.filter(pk=one.pk).update(worked_at=long_ago)

    assert "has not been heard of" in text_of(lead, "trial", one.pk)


def test_both_versions_stand_side_by_side_with_the_cases_that_flip(lead, plant, belt):
    gained, lost = make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    one = tried(tried_cases.begin_draft(plant))

    text = text_of(lead, "trial", one.pk)

    # Wilson's interval of one in two at 95 %.
    assert text.count("(9 % … 91 %)") >= 2
    assert "Too few to say" in text
    assert text.index(lost.number) < text.index(gained.number)
    assert reverse("case", args=[lost.number]) in text
    assert text.count("<svg") >= 2
    only = text_of(lead, "trial", one.pk, kind="gained first")
    assert gained.number in only
    assert lost.number not in only


def test_cases_that_could_not_be_tried_are_named_with_the_reason(lead, plant, belt):
    undiagnosed, old = make_cases([belt], [close_call(SPLICE), close_call(SPLICE)])
    Diagnosis.objects.filter(case=undiagnosed).delete()
    Diagnosis.objects.filter(case=old).update(likelihoods={})
    one = tried(tried_cases.begin_draft(plant))

    text = text_of(lead, "trial", one.pk, kind="left out")

    assert "There was no case to try it on" in text
    assert "named before anything was diagnosed" in text
    assert "before it was kept what the evidence says" in text
    assert undiagnosed.number in text
    assert old.number in text


def test_without_any_case_it_says_what_a_case_needs(lead, plant):
    draft = editions.begin(plant)
    one = tried(draft)

    assert "A case can be tried once it was diagnosed" in text_of(lead, "trial", one.pk)
    assert "there was no case" in text_of(lead, "edition", draft.pk)


def test_a_draft_changed_since_says_so_everywhere(lead, plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    draft = tried_cases.begin_draft(plant)
    one = tried(draft)
    pages = [("trial", one.pk), ("edition", draft.pk), ("edition-publish", draft.pk)]
    assert all("has changed since" not in text_of(lead, *page) for page in pages)

    editions.change_rule(draft, "own-cleaner-rule", says="Otherwise.")

    assert all("The draft has changed since" in text_of(lead, *page) for page in pages)


def test_a_trial_against_what_is_no_longer_in_force_says_so(lead, plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    one = tried(tried_cases.begin_draft(plant))

    editions.put_in_force(
        plant, lambda documents: editions.entry(documents, "causes", TAIL).update(weight=0.5)
    )

    assert "Something else has come in force since" in text_of(lead, "trial", one.pk)


def test_who_publishes_reads_what_the_trial_came_to_or_that_there_was_none(lead, plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    draft = tried_cases.begin_draft(plant)
    assert "never tried" in text_of(lead, "edition-publish", draft.pk)

    one = tried(draft)

    text = text_of(lead, "edition-publish", draft.pk)
    assert "becomes right in 1 case and wrong in 0." in text
    assert reverse("trial", args=[one.pk]) in text


def test_a_new_cause_is_named_as_one_no_old_case_was_asked_about(lead, plant):
    draft = editions.begin(plant)
    stands = editions.entry(editions.installed(), "causes", TAIL)
    new = {**stands, "slug": "own_cause", "name": "The owl sits on it", "look_alikes": []}
    kind = tried_cases.Kind.CAUSE
    draft.changes.create(
        kind=kind.value, slug="own_cause", before=None, after=new, changed_at=timezone.now()
    )

    assert "none can name it: The owl sits on it." in text_of(lead, "trial", tried(draft).pk)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("no_draft", "published or discarded"),
        ("unreadable", "another state of this program"),
        ("failed", "written in the log"),
        ("begun_too_often", "look at the worker"),
    ],
)
def test_a_refused_trial_says_why_and_what_to_do(lead, plant, code, words):
    one = ask(editions.begin(plant))
    KnowledgeTrial.objects.filter(pk=one.pk).update(
        state="refused", refusal=code, ended_at=timezone.now()
    )

    assert words in text_of(lead, "trial", one.pk)


def test_an_edition_in_force_is_not_tried_any_more(lead, plant):
    published = editions.publish(tried_cases.begin_draft(plant))

    response = lead.post(reverse("edition-try", args=[published.pk]), follow=True)

    assert "Only a draft can be tried" in response.content.decode()
    assert not KnowledgeTrial.objects.exists()


def test_the_cases_are_taken_away_as_a_table(lead, plant, belt):
    gained, lost = make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    one = tried(tried_cases.begin_draft(plant))

    content = lead.get(reverse("trial-file", args=[one.pk])).content.decode("utf-8-sig")

    rows = list(csv.reader(io.StringIO(content)))
    assert [row[:3] for row in rows[1:]] == [
        [lost.number, "Q7", "right first, now wrong"],
        [gained.number, "Q7", "wrong, now right first"],
    ]


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN, Role.PLANNER])
def test_who_may_not_keep_knowledge_tries_nothing(plant, role):
    draft = editions.begin(plant)
    one = ask(draft)
    client = signed_in(make_person(role, plant))

    for name in ("trial", "trial-progress", "trial-file"):
        assert client.get(reverse(name, args=[one.pk])).status_code == HTTPStatus.FORBIDDEN
    for name, pk in (("edition-try", draft.pk), ("trial-stop", one.pk)):
        assert client.post(reverse(name, args=[pk])).status_code == HTTPStatus.FORBIDDEN
    one.refresh_from_db()
    assert one.is_owed
    assert "Try it on" not in text_of(client, "edition", draft.pk)


def test_a_page_of_many_flips_costs_as_many_queries_as_one_of_few(
    lead, plant, belt, django_assert_max_num_queries
):
    make_cases([belt], [close_call(SPLICE if number % 2 else TAIL) for number in range(60)])
    one = tried(tried_cases.begin_draft(plant))
    assert one.cases.count() == 60

    with django_assert_max_num_queries(20):
        text = text_of(lead, "trial", one.pk, page="2")

    assert "Page 2 of 3" in text
