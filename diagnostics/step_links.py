"""Where a suggested step is done: the page, and who may open it."""

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics import fixes
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.recurrence.faults.detail import BeltDetail
from diagnostics.recurrence.next_steps import Step, Suggestion
from diagnostics.selectors.offenders import OpenEnds
from plant.loop.vocabulary import ComponentKind
from plant.models import Conveyor
from plant.roles import Permission

# Of splices nothing is read on a round; they stand on the belt's page.
_NOT_ON_ROUNDS = (CauseClass.BELT_SPLICE, CauseClass.BELT_SECTION)

# What there is to inspect for a family, as the register calls it.
_KINDS: dict[str, tuple[ComponentKind, ...]] = {
    CauseClass.CARRYING: (
        ComponentKind.TROUGHING_IDLERS,
        ComponentKind.IMPACT_IDLERS,
        ComponentKind.TRANSITION_IDLERS,
        ComponentKind.SELF_ALIGNING_IDLER,
        ComponentKind.STRUCTURE_SECTION,
    ),
    CauseClass.RETURN_IDLER: (
        ComponentKind.RETURN_IDLERS,
        ComponentKind.VEE_RETURN_IDLERS,
        ComponentKind.SELF_ALIGNING_IDLER,
    ),
    CauseClass.BEND_PULLEY: (ComponentKind.BEND_PULLEY, ComponentKind.SNUB_PULLEY),
    CauseClass.TAIL_PULLEY: (ComponentKind.TAIL_PULLEY,),
    CauseClass.HEAD_PULLEY: (ComponentKind.HEAD_PULLEY, ComponentKind.DRIVE_PULLEY),
    CauseClass.TAKE_UP: (ComponentKind.TAKE_UP_PULLEY, ComponentKind.TAKE_UP_FRAME),
    CauseClass.LOADING: (ComponentKind.LOAD_POINT, ComponentKind.SKIRTBOARD),
}


@dataclass(frozen=True)
class Link:
    words: str
    address: str
    needs: Permission = Permission.SEE


def links_of(
    one: Suggestion,
    belt: BeltFaults,
    detail: BeltDetail,
    ends: OpenEnds,
    mend_address: str,
    faults_address: str,
) -> list[Link]:
    """The pages of a step, the first one first; `mend_address` is that of the last failed mend,
    `faults_address` the belt's own page of faults.
    """
    conveyor = belt.conveyor
    match one.step:
        case Step.OTHER_MEND:
            return [_method(one.instead, conveyor), *_raising(conveyor)]
        case Step.REVIEW:
            return [
                Link(_("Engineering check"), _of_belt("register-check", conveyor)),
                Link(_("What if"), _of_belt("what-if", conveyor)),
            ]
        case Step.INSPECT_KIND:
            return [*_inspection(one.family, conveyor)]
        case Step.FIND_CAUSE:
            return [_looking(conveyor, ends)]
        case Step.CHECK_MEND if mend_address and detail.last_failed:
            return [Link(detail.last_failed.order, mend_address)]
        case Step.NOTE_HOURS if number := ends.unsaid.get(conveyor.pk):
            words = _("Lost hours of %(number)s") % {"number": number}
            address = reverse("case-lost-hours", args=[number])
            return [Link(words, address, Permission.MOVE_CASE)]
    return [Link(_("The belt's faults"), faults_address)]


def faults_address(conveyor: Conveyor, reckoning: FaultReckoning) -> str:
    """The belt's page of faults, on the days, the exposure and the family that were reckoned."""
    asked = {
        "since": reckoning.first_on.isoformat(),
        "until": reckoning.last_on.isoformat(),
        "family": reckoning.family,
        "per": reckoning.basis,
    }
    said = urlencode({name: text for name, text in asked.items() if text})
    return f"{_of_belt('conveyor-trend', conveyor)}?{said}"


def _method(slug: str, conveyor: Conveyor) -> Link:
    address = f"{reverse('work-method', args=[slug])}?plant={conveyor.plant.code}"
    return Link(_("How it is done"), address)


def _raising(conveyor: Conveyor) -> list[Link]:
    address = fixes.raising_address(conveyor.pk)
    return [Link(_("Raise the work"), address, Permission.RAISE_ORDER)] if address else []


def _inspection(family: str, conveyor: Conveyor) -> Iterator[Link]:
    """The parts to inspect first; then the round on which they are measured."""
    sheet, kinds = _of_belt("conveyor", conveyor), _KINDS.get(family, ())
    if family in _NOT_ON_ROUNDS:
        yield Link(_("Parts of the belt"), sheet)
        return
    if kinds:
        said = urlencode([("kind", kind.value) for kind in kinds])
        yield Link(_("All of them on this belt"), f"{sheet}?{said}#components")
    address = _of_belt("condition-round", conveyor)
    yield Link(_("Begin a round of readings"), address, Permission.TAKE_READING)


def _looking(conveyor: Conveyor, ends: OpenEnds) -> Link:
    number = ends.open_cases.get(conveyor.pk)
    if number:
        words = _("Timed look for %(number)s") % {"number": number}
        return Link(words, reverse("timed-look-new", args=[number]), Permission.WALK_DOWN)
    address = f"{reverse('complaint-new')}?conveyor={conveyor.pk}"
    return Link(_("Take a complaint"), address, Permission.TAKE_COMPLAINT)


def _of_belt(name: str, conveyor: Conveyor) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag])
