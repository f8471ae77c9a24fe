"""Several keepers of one plant's knowledge at once: one draft, one in force, no lost word."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from diagnostics.edition_states import EditionState
from diagnostics.knowledge_comparison import Kind, entries_of
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import KnowledgeEdition
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.services import knowledge_publishing as publishing
from diagnostics.services.knowledge_keeping import Wanted
from plant.errors import DomainError
from tests.diagnostics import editions
from tests.diagnostics.factories import NOW, make_plant

pytestmark = pytest.mark.django_db(transaction=True)
RULES = ("row-before-skirts", "row-past-skirts", "row-carrying")


def all_at_once(*works):
    """Each in a thread and a connection of its own; refusals come back."""
    barrier = Barrier(len(works))

    def one(work):
        try:
            barrier.wait(timeout=20)
            return work()
        except DomainError as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(one, works))


def test_of_three_who_begin_and_three_who_publish_one_does_each_and_no_rule_is_lost():
    plant = make_plant()

    begun = all_at_once(*(lambda: editions.begin(plant) for _ in range(3)))
    (draft,) = [one for one in begun if isinstance(one, KnowledgeEdition)]

    def change(slug):
        stands = entries_of(editions.installed(), Kind.RULE)[slug]
        wanted = Wanted(Kind.RULE, slug, {**stands, "says": f"Changed {slug}."}, mark_of(stands))
        return editions.keep(draft, wanted)

    all_at_once(*(lambda slug=slug: change(slug) for slug in (*RULES, RULES[0])))
    draft.refresh_from_db()
    says = [entries_of(draft.contents, Kind.RULE)[slug]["says"] for slug in RULES]

    def publish():
        return publishing.publish_draft(
            draft_id=draft.pk, version=draft.version, why="tried", by=None, now=NOW
        )

    published = all_at_once(publish, publish, publish)

    assert sum(isinstance(one, keeping.DraftExists) for one in begun) == 2
    assert says == [f"Changed {slug}." for slug in RULES]
    assert sum(isinstance(one, KnowledgeEdition) for one in published) == 1
    assert sum(isinstance(one, keeping.NoDraft) for one in published) == 2
    assert [one.state for one in KnowledgeEdition.objects.filter(plant=plant)] == [
        EditionState.IN_FORCE
    ]
