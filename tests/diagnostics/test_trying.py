"""A draft tried in the background: what it finds, and how it ends when it does not."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from diagnostics import tasks
from diagnostics.inference import trial as pure
from diagnostics.inference.evaluation.verdicts import Scores
from diagnostics.models import Case, Diagnosis, KnowledgeTrial, TriedCase
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping, knowledge_trying, trial_work
from diagnostics.services.knowledge_keeping import NoDraft
from plant import owed
from plant.models import Conveyor
from plant.services import claiming
from tests.diagnostics import editions, factories, tried_cases
from tests.diagnostics.confirmed_cases import counts_of, drawn_cases
from tests.diagnostics.tried_cases import SPLICE, TAIL, ask, close_call, make_cases, tried

pytestmark = pytest.mark.django_db
State, Outcome = KnowledgeTrial.State, TriedCase.Outcome


@pytest.fixture
def belt(plant) -> Conveyor:
    return factories.make_bare_conveyor(plant, tag="Q7")


@pytest.fixture
def often(monkeypatch):
    """A word after every batch of one case."""
    monkeypatch.setattr(claiming, "EVERY_S", 0.0)
    monkeypatch.setattr(pure, "BATCH", 1)


def told(one: KnowledgeTrial) -> list[tuple[Case, str]]:
    return [(row.case, row.outcome) for row in one.cases.all()]


def test_cases_that_flip_are_kept_right_to_wrong_first(plant, belt):
    gained, lost, same = make_cases(
        [belt], [close_call(SPLICE), close_call(TAIL), close_call(TAIL, features={})]
    )

    one = tried(tried_cases.begin_draft(plant))

    assert told(one) == [(lost, Outcome.LOST_FIRST), (gained, Outcome.GAINED_FIRST)]
    assert (one.cases_done, one.cases_all) == (3, 3)
    assert one.result["first"] == {"gained": 1, "lost": 1}
    before, after = (Scores.from_json(one.result[name]) for name in ("before", "after"))
    assert [(named.classes.first.hits, named.classes.first.of) for named in (before, after)] == [
        (2, 3),
        (2, 3),
    ]
    flip = one.cases.get(case=gained).told
    assert flip["truth"] == [SPLICE]
    assert flip["before"]["causes"] == [TAIL, SPLICE]
    assert flip["after"]["classes"][0][0] == "belt_splice"
    assert (flip["before"]["rank"], flip["after"]["rank"]) == (2, 1)
    assert not one.cases.filter(case=same).exists()


def test_rows_say_what_the_same_cases_say_without_a_database(plant):
    belts = [factories.make_bare_conveyor(plant) for _number in range(5)]
    draft = tried_cases.begin_draft(plant, cause="belt_camber")
    old, new = shelf.knowledge_of(plant.pk), shelf.library_in(draft).knowledge
    given = drawn_cases(old, 120)
    made = make_cases(belts, given)
    expected = pure.try_knowledge(given, counts=counts_of(given), before=old, after=new)

    one = tried(draft)

    assert expected.flips, "else it shows nothing"
    assert Scores.from_json(one.result["before"]) == expected.before
    assert Scores.from_json(one.result["after"]) == expected.after
    assert {row.case_id for row in one.cases.all()} == {
        made[flip.key].pk for flip in expected.flips
    }


def test_cases_without_kept_evidence_are_counted_and_named(plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    undiagnosed, old = make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    Diagnosis.objects.filter(case=undiagnosed).delete()
    Diagnosis.objects.filter(case=old).update(likelihoods={})

    one = tried(tried_cases.begin_draft(plant))

    assert (one.cases_all, one.cases_done, one.result["left_out"]) == (1, 1, 2)
    left_out = one.cases.filter(outcome=Outcome.LEFT_OUT)
    assert [(row.case, row.told["is_diagnosed"]) for row in left_out] == [
        (undiagnosed, False),
        (old, True),
    ]


def test_a_plant_without_confirmed_cases_ends_with_none(plant):
    one = tried(tried_cases.begin_draft(plant))

    assert (one.cases_all, one.result["before"], one.result["after"]) == (0, None, None)


def test_cases_of_another_plant_are_not_tried(plant, belt):
    make_cases([factories.make_bare_conveyor()], [close_call(SPLICE)])
    make_cases([belt], [close_call(TAIL)])

    assert tried(tried_cases.begin_draft(plant)).cases_done == 1


def test_it_is_tried_as_the_draft_stands_when_it_is_begun(plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    draft = editions.begin(plant)
    one = ask(draft)
    rule = editions.cleaner_rule(speaks=[{"cause": SPLICE, "ratio": 100}])
    wanted = knowledge_keeping.Wanted(
        knowledge_keeping.Kind.RULE, rule["slug"], rule, knowledge_keeping.mark_of(None)
    )
    changed = editions.keep(draft, wanted)

    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert (one.digest, one.result["first"]["gained"]) == (changed.digest, 1)
    assert (one.against, one.against_digest) == (None, draft.base_digest)


def test_asked_for_twice_it_is_tried_once(plant):
    draft = editions.begin(plant)

    first, second = ask(draft), ask(draft)

    assert first == second
    assert knowledge_trying.do_owed() == 1
    assert ask(draft) != first


def test_the_sweep_for_long_work_tries_what_is_owed(plant):
    one = ask(editions.begin(plant))

    owed.run_short()
    one.refresh_from_db()
    assert one.is_owed
    owed.run_long()

    one.refresh_from_db()
    assert one.is_tried


def test_with_a_broker_the_worker_is_woken_once_the_trial_is_kept(
    plant, settings, monkeypatch, django_capture_on_commit_callbacks
):
    settings.BROKER_URL = "redis://example.invalid:6379/0"
    woken = []
    monkeypatch.setattr(tasks.try_owed_drafts, "delay", lambda: woken.append(True))
    draft = editions.begin(plant)

    with django_capture_on_commit_callbacks(execute=True):
        one = ask(draft)
        assert not woken

    assert woken == [True]
    for _message in range(2):
        tasks.try_owed_drafts(from_a_newer_caller=1)
    one.refresh_from_db()
    assert (one.state, one.times_begun) == (State.TRIED, 1)


def test_only_a_draft_is_tried(plant):
    draft = tried_cases.begin_draft(plant)
    one = ask(draft)
    published = editions.publish(draft)

    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert (one.state, one.refusal) == (State.REFUSED, "no_draft")
    with pytest.raises(NoDraft):
        ask(published)


def test_a_trial_nobody_has_begun_is_stopped_at_once(plant):
    one = ask(editions.begin(plant))

    knowledge_trying.ask_stop(trial_id=one.pk, now=timezone.now())

    one.refresh_from_db()
    assert one.state == State.STOPPED
    assert knowledge_trying.do_owed() == 0


def test_a_stop_half_way_keeps_nothing(plant, belt, often, monkeypatch):
    make_cases([belt], [close_call(SPLICE), close_call(TAIL), close_call(TAIL)])
    one = ask(tried_cases.begin_draft(plant))
    seen = []
    tick = trial_work.Progress.__call__

    def stop_after_two(self: Any, done: int) -> bool:
        if done == 2:
            knowledge_trying.ask_stop(trial_id=one.pk, now=timezone.now())
        seen.append(done)
        return tick(self, done)

    monkeypatch.setattr(trial_work.Progress, "__call__", stop_after_two)
    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert (one.state, one.stop_asked_at, one.result, seen) == (State.STOPPED, None, {}, [1, 2])
    assert not one.cases.exists()


def test_a_stop_after_the_last_case_still_counts(plant, belt, monkeypatch):
    make_cases([belt], [close_call(SPLICE)])
    one = ask(tried_cases.begin_draft(plant))
    keep = trial_work._keep

    def stopped_before(*given: Any) -> None:
        knowledge_trying.ask_stop(trial_id=one.pk, now=timezone.now())
        keep(*given)

    monkeypatch.setattr(trial_work, "_keep", stopped_before)
    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert one.state == State.STOPPED
    assert not one.cases.exists()


def test_what_has_ended_is_not_stopped_any_more(plant):
    one = tried(editions.begin(plant))

    knowledge_trying.ask_stop(trial_id=one.pk, now=timezone.now())

    one.refresh_from_db()
    assert (one.state, one.stop_asked_at) == (State.TRIED, None)


def test_progress_is_told_while_it_works(plant, belt, often, monkeypatch):
    make_cases([belt], [close_call(SPLICE), close_call(TAIL)])
    one = ask(tried_cases.begin_draft(plant))
    seen = []
    tick = trial_work.Progress.__call__

    def told_so(self: Any, done: int) -> bool:
        goes_on = tick(self, done)
        here = KnowledgeTrial.objects.get(pk=one.pk)
        seen.append((here.cases_done, here.cases_all))
        return goes_on

    monkeypatch.setattr(trial_work.Progress, "__call__", told_so)
    knowledge_trying.do_owed()

    assert seen == [(1, 2), (2, 2)]


def test_a_trial_that_fails_says_so_and_can_be_asked_for_again(plant, monkeypatch):
    draft = editions.begin(plant)
    one = ask(draft)
    with monkeypatch.context() as broken:
        broken.setattr(trial_work, "try_knowledge", lambda *_a, **_k: 1 / 0)
        assert knowledge_trying.do_owed() == 1

    one.refresh_from_db()
    assert (one.state, one.refusal) == (State.REFUSED, "failed")
    assert tried(draft) != one


def test_a_draft_written_for_another_state_of_the_program_is_refused(plant):
    draft = editions.begin(plant)
    # Straight into the table, as an older program would have left it; a copy of its own.
    draft.refresh_from_db()
    draft.contents["rules.yaml"]["rules"][0]["when"] = {"weather": ["rain"]}
    draft.digest = "of the same program"
    draft.save()
    one = ask(draft)

    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert (one.state, one.refusal) == (State.REFUSED, "unreadable")


def silent(one: KnowledgeTrial, **fields: Any) -> None:
    """As a worker leaves it that was killed a while ago."""
    ago = timezone.now() - claiming.SILENCE - timedelta(seconds=1)
    KnowledgeTrial.objects.filter(pk=one.pk).update(
        **{"worked_at": ago, "times_begun": 1, "cases_done": 1, **fields}
    )


def test_a_trial_whose_worker_fell_silent_is_taken_up_again(plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    one = ask(tried_cases.begin_draft(plant))
    silent(one, worked_at=timezone.now())
    assert knowledge_trying.do_owed() == 0, "somebody is at it"

    silent(one)
    assert knowledge_trying.do_owed() == 1

    one.refresh_from_db()
    assert (one.state, one.times_begun) == (State.TRIED, 2)


def test_a_trial_whose_worker_fell_silent_can_be_stopped(plant):
    one = ask(editions.begin(plant))
    silent(one)

    knowledge_trying.ask_stop(trial_id=one.pk, now=timezone.now())

    one.refresh_from_db()
    assert one.state == State.STOPPED


def test_a_trial_that_kills_every_worker_is_given_up(plant):
    one = ask(editions.begin(plant))
    silent(one, times_begun=claiming.MOST_BEGINNINGS)

    knowledge_trying.do_owed()

    one.refresh_from_db()
    assert (one.state, one.refusal) == (State.REFUSED, "begun_too_often")


def test_a_worker_thought_dead_adds_nothing_to_what_another_kept(plant, belt):
    make_cases([belt], [close_call(SPLICE)])
    one = ask(tried_cases.begin_draft(plant))
    thought_dead = KnowledgeTrial.objects.get(pk=one.pk)
    knowledge_trying.do_owed()

    trial_work.run(thought_dead)

    one.refresh_from_db()
    assert (one.state, one.cases.count()) == (State.TRIED, 1)


def test_only_the_latest_trials_of_a_draft_are_kept(plant):
    draft = editions.begin(plant)
    all_of_them = [tried(draft) for _number in range(knowledge_trying.KEPT_A_DRAFT + 2)]

    kept = set(KnowledgeTrial.objects.filter(edition=draft))

    assert kept == set(all_of_them[2:])
