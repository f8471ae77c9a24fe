"""One case from the first call to its end, through the same use cases as people's own."""

from diagnostics.case_states import CaseState
from diagnostics.inference.vocabulary import LoadState
from diagnostics.models import Case
from diagnostics.services import cases
from plant.roles import Role
from workorders.services import raising
from workorders.services.demo_history import judging_causes, mending, reporting, timing
from workorders.services.demo_history.eyes import Going
from workorders.services.demo_history.looking import Walk, walk_down
from workorders.services.demo_history.plot import Ending, Stands
from workorders.services.demo_history.response import Shape, TrueCause
from workorders.services.demo_history.scene import CaseScene, Story

# Stations of a walk while people were less thorough; later they follow the whole route.
_SHORT_WALK = 18
_CHANGES_MIND = 0.09


def tell(scene: CaseScene) -> Story:
    """Every moment at which something happens; what happens is done when the story goes on."""
    yield scene.now
    complaint = reporting.call_in(scene)
    case = complaint.case
    if case is None or scene.plan.stands is Stands.REPORTED:
        return
    if scene.chance(0.35):
        yield scene.clock.later(0.3, 9)
        reporting.call_in(scene, joins=case)
    if scene.plan.stands is None and scene.plan.ending is Ending.CANCELLED:
        yield from _end(scene, case, CaseState.CANCELLED, "cancelled")
        return
    if scene.plan.stands is None and scene.plan.ending is Ending.NOT_MISTRACKING:
        yield from _nothing_there(scene, case)
        return
    yield from _look(scene, case, scene.truth())
    if scene.plan.stands not in {Stands.WALKING, Stands.WALKED, Stands.CHECKED}:
        yield from _mend(scene, case, scene.truth())


def _look(scene: CaseScene, case: Case, true: TrueCause) -> Story:
    yield scene.clock.later(1, 40, by_day=True)
    stands = scene.plan.stands
    if stands is Stands.WALKING:
        walk_down(scene, case, Walk(_passes(scene, true), share=0.4), true)
        judging_causes.diagnose(scene, case)
        return
    walk_down(scene, case, Walk(_passes(scene, true), stations=_thoroughness(scene)), true)
    if true.shape is Shape.TRAVELLING and not scene.is_long_ago:
        timing.time_it(scene, case, true)
    yield scene.clock.later(0.05, 0.2)
    if scene.is_long_ago:
        # They looked closely on the same visit, and asked for a diagnosis once.
        judging_causes.find_it(scene, case, true)
    judging_causes.diagnose(scene, case)
    if stands is Stands.CHECKED:
        yield scene.clock.later(1, 20, by_day=True)
        judging_causes.rule_out_first(scene, case, true)
        judging_causes.diagnose(scene, case)


def _mend(scene: CaseScene, case: Case, true: TrueCause) -> Story:
    fails = scene.plan.ending is Ending.FAILED_ONCE or scene.plan.stands is Stands.FAILED
    yield scene.clock.later(1.5, 24, by_day=True)
    if fails and scene.chance(0.5):
        accepted = judging_causes.accept_mistake(scene, case, true)
    else:
        if scene.plan.stands is None and scene.chance(_CHANGES_MIND):
            yield from _change_mind(scene, case, true)
        yield from _sure_of_it(scene, case, true)
        accepted = judging_causes.accept_truth(scene, case, true)
    if scene.plan.stands is None and scene.plan.ending is Ending.DECLINED:
        yield scene.clock.later(4, 40, by_day=True)
        mending.decline(scene, mending.order_of(case))
        yield from _end(scene, case, CaseState.CANCELLED, "cancelled")
        return
    yield from mending.mend(scene, mending.order_of(case), scene.plan.stands)
    if scene.plan.stands not in {None, Stands.FAILED}:
        return
    yield scene.clock.later(8, 60, by_day=True)
    mending.prove(scene, mending.order_of(case), passed=not fails)
    if fails and scene.plan.stands is Stands.FAILED:
        # What was seen on the proof run is new evidence.
        judging_causes.diagnose(scene, case)
    if fails and scene.plan.stands is None:
        yield from _mend_again(scene, case, true, is_same=accepted.cause == true.cause)


def _mend_again(scene: CaseScene, case: Case, true: TrueCause, *, is_same: bool) -> Story:
    """The proof run failed: look again with what is left of the trouble, and do it properly."""
    yield scene.clock.later(4, 40, by_day=True)
    left = Walk(_passes(scene, true), stations=_SHORT_WALK, share_of_trouble=0.75)
    walk_down(scene, case, left, true)
    judging_causes.diagnose(scene, case)
    yield scene.clock.later(1, 20, by_day=True)
    if is_same:
        accepted = case.hypotheses.filter(accepted_at__isnull=False).order_by("-pk")[0]
        raising.raise_again(hypothesis_id=accepted.pk, by=scene.somebody(Role.LEAD), now=scene.now)
    else:
        judging_causes.find_it(scene, case, true)
        judging_causes.diagnose(scene, case)
        judging_causes.accept_truth(scene, case, true)
    yield from mending.mend(scene, mending.order_of(case), None)
    yield scene.clock.later(8, 60, by_day=True)
    mending.prove(scene, mending.order_of(case), passed=True)


def _sure_of_it(scene: CaseScene, case: Case, true: TrueCause) -> Story:
    """Most causes are found with the belt stopped before anybody accepts them."""
    if scene.is_long_ago or (scene.plan.stands is None and scene.chance(0.35)):
        return
    judging_causes.rule_out_first(scene, case, true, most=2)
    judging_causes.find_it(scene, case, true)
    if scene.chance(0.25):
        judging_causes.refute_first(scene, case, true)
    judging_causes.diagnose(scene, case)
    yield scene.clock.later(0.2, 5, by_day=True)


def _change_mind(scene: CaseScene, case: Case, true: TrueCause) -> Story:
    """Accept too early, look once more, take it back; the order goes with it."""
    accepted = judging_causes.accept_mistake(scene, case, true)
    yield scene.clock.later(2, 30, by_day=True)
    judging_causes.take_back(scene, case, accepted)
    yield scene.clock.later(0.5, 10, by_day=True)


def _nothing_there(scene: CaseScene, case: Case) -> Story:
    yield scene.clock.later(1, 30, by_day=True)
    nothing = Walk((Going(LoadState.LOADED),), stations=_SHORT_WALK, share_of_trouble=0.0)
    walk_down(scene, case, nothing, scene.truth())
    judging_causes.diagnose(scene, case)
    yield from _end(scene, case, CaseState.NOT_MISTRACKING, "not_mistracking")


def _end(scene: CaseScene, case: Case, state: CaseState, about: str) -> Story:
    yield scene.clock.later(1, 40, by_day=True)
    cases.move_case(
        case_id=case.pk,
        to_state=state,
        why=scene.note(about),
        by=scene.somebody(Role.LEAD),
        now=scene.now,
    )


def _passes(scene: CaseScene, true: TrueCause) -> tuple[Going, ...]:
    """Loaded where that is what shows it; both where somebody had the time; both ways round where
    people said that it is another way round."""
    first = true.only or (LoadState.LOADED if scene.chance(0.65) else LoadState.EMPTY)
    other = LoadState.EMPTY if first is LoadState.LOADED else LoadState.LOADED
    if scene.conveyor.is_reversing and scene.plan.trouble.talk == "reversing":
        return (Going(first), Going(first, is_backwards=True))
    is_thorough = scene.plan.stands is not None or scene.chance(0.3)
    return (Going(first), Going(other)) if is_thorough else (Going(first),)


def _thoroughness(scene: CaseScene) -> int | None:
    return _SHORT_WALK if scene.plan.stands is None else None
