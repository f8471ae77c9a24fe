"""From what was seen to a cause somebody stands by."""

from diagnostics.inference.vocabulary import BELT_CLASSES
from diagnostics.models import Case, Hypothesis
from diagnostics.services import diagnosing, judging
from plant.loop.zones import zone_at
from plant.models import User
from plant.roles import Role
from workorders.services.demo_history import picturing
from workorders.services.demo_history.looking import record_finding
from workorders.services.demo_history.response import TrueCause
from workorders.services.demo_history.scene import CaseScene

# An entry of the ranking means the true place when it is not farther from it than this. [m]
_NEAR_M = 15.0


def diagnose(scene: CaseScene, case: Case) -> None:
    diagnosing.diagnose_case(case_id=case.pk, now=scene.now)


def standing(case: Case) -> list[Hypothesis]:
    """The entries of the standing diagnosis that nobody has judged."""
    return list(
        case.hypotheses.filter(
            diagnosis__superseded_at__isnull=True,
            diagnosis__isnull=False,
            accepted_at__isnull=True,
            refuted_at__isnull=True,
        )
    )


def rule_out_first(scene: CaseScene, case: Case, true: TrueCause, *, most: int = 1) -> None:
    """Look closely at the first suspicions that are not it, and say so."""
    by = scene.somebody(Role.TECHNICIAN)
    wrong = [one for one in standing(case)[:3] if one.cause != true.cause]
    for hypothesis in wrong[:most]:
        record_finding(
            scene,
            case,
            cause=hypothesis.cause,
            place=hypothesis.component,
            is_present=False,
            by=by,
        )


def find_it(scene: CaseScene, case: Case, true: TrueCause) -> None:
    by = scene.somebody(Role.TECHNICIAN)
    place = _place(scene, true)
    found = record_finding(scene, case, cause=true.cause, place=place, is_present=True, by=by)
    if scene.plan.stands is not None:
        picturing.photograph(found, true)


def accept_truth(scene: CaseScene, case: Case, true: TrueCause) -> Hypothesis:
    """Accept the entry that names the true cause, or name the cause by hand."""
    by = scene.somebody(Role.LEAD if scene.chance(0.5) else Role.TECHNICIAN)
    named = [one for one in standing(case) if _is_it(scene, one, true)]
    if named:
        nearest = min(named, key=lambda one: _apart_m(scene, one, true))
        return accept(scene, case, nearest, by=by)
    is_in_belt = true.cause_class in BELT_CLASSES
    return judging.name_cause(
        case_id=case.pk,
        cause=true.cause,
        component=_place(scene, true),
        zone="" if is_in_belt else zone_at(scene.stage.loop, true.position_m).value,
        position_m=None if is_in_belt else true.position_m,
        why=scene.note("accepted"),
        by=by,
        now=scene.now,
    )


def accept_mistake(scene: CaseScene, case: Case, true: TrueCause) -> Hypothesis:
    """Accept the likeliest entry that is not it, as people do; the truth when there is none."""
    wrong = next((one for one in standing(case)[:3] if one.cause != true.cause), None)
    if wrong is None:
        return accept_truth(scene, case, true)
    return accept(scene, case, wrong, by=scene.somebody(Role.TECHNICIAN))


def accept(scene: CaseScene, case: Case, hypothesis: Hypothesis, *, by: User) -> Hypothesis:
    return judging.accept_hypothesis(
        hypothesis_id=hypothesis.pk,
        case_id=case.pk,
        why=scene.note("accepted"),
        by=by,
        now=scene.now,
    )


def take_back(scene: CaseScene, case: Case, hypothesis: Hypothesis) -> None:
    judging.take_back_acceptance(
        hypothesis_id=hypothesis.pk,
        case_id=case.pk,
        why=scene.note("taken_back"),
        by=scene.somebody(Role.LEAD),
        now=scene.now,
    )


def refute_first(scene: CaseScene, case: Case, true: TrueCause) -> None:
    """Say of the likeliest wrong entry why it is not it."""
    wrong = next((one for one in standing(case)[:3] if one.cause != true.cause), None)
    if wrong is not None:
        judging.refute_hypothesis(
            hypothesis_id=wrong.pk,
            case_id=case.pk,
            why=scene.note("refuted"),
            by=scene.somebody(Role.TECHNICIAN),
            now=scene.now,
        )


def _is_it(scene: CaseScene, hypothesis: Hypothesis, true: TrueCause) -> bool:
    return hypothesis.cause == true.cause and _apart_m(scene, hypothesis, true) <= _NEAR_M


def _apart_m(scene: CaseScene, hypothesis: Hypothesis, true: TrueCause) -> float:
    """0 for what goes round with the belt."""
    if true.cause_class in BELT_CLASSES or hypothesis.position_m is None:
        return 0.0
    return scene.stage.loop.apart_m(hypothesis.position_m, true.position_m)


def _place(scene: CaseScene, true: TrueCause) -> str:
    at = scene.plan.trouble.at
    return at if isinstance(at, str) else ""
