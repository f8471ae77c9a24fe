"""A usable loop from a few figures: positions of pulleys and idler sets of an ordinary conveyor."""

from dataclasses import dataclass

from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind

# Usual distances, engineering judgement: free room between an idler set and a pulley, room of the
# impact sets before and behind the skirts, first set behind the tail.
_BESIDE_PULLEY_M = 1.0
_FIRST_SET_M = 1.0
_CLEANER_AFTER_HEAD_M = 0.2


@dataclass(frozen=True)
class LayoutFigures:
    """What a person knows of an ordinary conveyor.

    Attributes
    ----------
    centre_distance_m : float
        Tail to head along the carrying run. [m]
    head_diameter_mm, tail_diameter_mm : float
        Shell with lagging. [mm]
    carrying_spacing_m, return_spacing_m, impact_spacing_m : float
        Between idler sets. [m]
    load_at_m, skirt_m : float
        Where the load meets the belt and how far its skirtboard reaches from there. [m]
    take_up : TakeUpKind
        Gravity and horizontal take-ups get their pulleys; a screw moves the tail.
    take_up_after_head_m, take_up_leg_m : float
        Way along the return run from the head to the first bend pulley, and the length of each
        strand between bend and take-up pulley. [m]
    take_up_diameter_mm, bend_diameter_mm : float
        [mm]
    is_vee_return : bool
        Return sets are vees.
    """

    centre_distance_m: float
    head_diameter_mm: float
    tail_diameter_mm: float
    carrying_spacing_m: float = 1.2
    return_spacing_m: float = 3.0
    impact_spacing_m: float = 0.5
    load_at_m: float = 2.5
    skirt_m: float = 3.0
    take_up: TakeUpKind = TakeUpKind.SCREW
    take_up_after_head_m: float = 10.0
    take_up_leg_m: float = 5.0
    take_up_diameter_mm: float = 630.0
    bend_diameter_mm: float = 500.0
    is_vee_return: bool = False


class LayoutError(ValueError):
    """The figures do not fit each other; `field` is the one to change."""

    def __init__(self, text: str, field: str) -> None:
        super().__init__(text)
        self.field = field


def lay_out(figures: LayoutFigures) -> tuple[Part, ...]:
    """The parts of an ordinary conveyor, ready for `build_loop`.

    Tail, load point with skirts over impact idlers, troughing idlers to the head, return idlers
    back; with a gravity or horizontal take-up its bend and take-up pulleys on the return run.

    Parameters
    ----------
    figures : LayoutFigures

    Returns
    -------
    tuple of Part
        In the order of belt travel.

    Raises
    ------
    LayoutError
        A figure is not above 0, or the take-up or the load point find no room.

    Notes
    -----
    Head and tail wrap half round; the strands are taken as parallel, which for pulleys of unequal
    diameter is short by less than (difference)^2 / (4 × centre distance).
    """
    _check(figures)
    head_m = figures.centre_distance_m
    head = _pulley("HEAD", ComponentKind.HEAD_PULLEY, head_m, figures.head_diameter_mm, 0, -180)
    return_parts, tail_m = _return_run(figures, head)
    tail = _pulley("TAIL", ComponentKind.TAIL_PULLEY, tail_m, figures.tail_diameter_mm, 180, 0)
    return (*_carrying_run(figures), head, *return_parts, tail)


def _check(figures: LayoutFigures) -> None:
    for field in (
        "centre_distance_m",
        "head_diameter_mm",
        "tail_diameter_mm",
        "carrying_spacing_m",
        "return_spacing_m",
        "impact_spacing_m",
        "take_up_diameter_mm",
        "bend_diameter_mm",
        "take_up_leg_m",
        "take_up_after_head_m",
    ):
        value = getattr(figures, field)
        if not value > 0:
            raise LayoutError(f"{field} must be above 0, not {value!r}.", field)
    if figures.skirt_m < 0:
        raise LayoutError(f"skirt_m must be from 0 m on, not {figures.skirt_m:g}.", "skirt_m")
    most = figures.centre_distance_m - figures.skirt_m - _BESIDE_PULLEY_M
    if not 0 <= figures.load_at_m <= most:
        raise LayoutError(
            f"The load point with its skirts must lie between 0 m and {max(most, 0):.1f} m, "
            f"not at {figures.load_at_m:g} m.",
            "load_at_m",
        )


def _pulley(
    name: str, kind: ComponentKind, at_m: float, diameter_mm: float, in_deg: float, out_deg: float
) -> Part:
    return Part(
        name=name,
        kind=kind,
        run=Run.CARRYING if kind is ComponentKind.HEAD_PULLEY else Run.RETURN,
        first_m=round(at_m, 3),
        diameter_mm=diameter_mm,
        wrap_deg=abs(out_deg - in_deg),
        in_deg=in_deg,
        out_deg=out_deg,
    )


def _sets(
    name: str, kind: ComponentKind, run: Run, from_m: float, to_m: float, spacing_m: float
) -> list[Part]:
    """As many sets as there is room for; none where there is none."""
    # Kept to the millimetre, and so counted: a thousand rounded spacings are a metre more.
    spacing_m = round(spacing_m, 3)
    count = int((to_m - from_m) / spacing_m + 1e-9) + 1 if to_m >= from_m else 0
    if count < 1:
        return []
    first_m = round(from_m, 3)
    return [Part(name, kind, run, first_m, spacing_m, count, is_numbered=True)]


def _carrying_run(figures: LayoutFigures) -> list[Part]:
    carrying, head_m = Run.CARRYING, figures.centre_distance_m
    load_m, skirt_end_m = figures.load_at_m, figures.load_at_m + figures.skirt_m
    impact_from_m = max(load_m - figures.impact_spacing_m, _FIRST_SET_M)
    impact = _sets(
        "I",
        ComponentKind.IMPACT_IDLERS,
        carrying,
        impact_from_m,
        skirt_end_m,
        figures.impact_spacing_m,
    )
    spacing_m = figures.carrying_spacing_m
    troughing = ComponentKind.TROUGHING_IDLERS
    before = _sets("CA", troughing, carrying, _FIRST_SET_M, impact_from_m - spacing_m, spacing_m)
    from_m = (impact[-1].last_m if impact else skirt_end_m) + spacing_m
    after = _sets("C", troughing, carrying, from_m, head_m - _BESIDE_PULLEY_M, spacing_m)
    load = Part(
        "LOAD", ComponentKind.LOAD_POINT, carrying, round(load_m, 3), length_m=figures.skirt_m
    )
    return [load, *before, *impact, *after]


def _return_run(figures: LayoutFigures, head: Part) -> tuple[list[Part], float]:
    """The parts between head and tail, and where the belt meets the tail. [m]"""
    left_head_m = head.first_m + head.arc_m
    cleaner = Part(
        "CLEANER",
        ComponentKind.BELT_CLEANER,
        Run.RETURN,
        round(left_head_m + _CLEANER_AFTER_HEAD_M, 3),
    )
    if figures.take_up in (TakeUpKind.SCREW, TakeUpKind.FIXED):
        tail_m = left_head_m + figures.centre_distance_m
        return [cleaner, *_return_sets(figures, "R", left_head_m, tail_m)], tail_m
    pulleys, left_m = _take_up(figures, left_head_m)
    to_tail_m = figures.centre_distance_m - left_m
    if to_tail_m < _BESIDE_PULLEY_M:
        raise LayoutError(
            f"The take-up stands past the tail; with {figures.centre_distance_m:g} m between "
            "the centres it must be nearer to the head.",
            "take_up_after_head_m",
        )
    last = pulleys[-1]
    tail_m = last.first_m + last.arc_m + to_tail_m
    before = _return_sets(figures, "RA", left_head_m, pulleys[0].first_m)
    after = _return_sets(figures, "R", last.first_m + last.arc_m, tail_m)
    return [cleaner, *before, *pulleys, *after], tail_m


def _return_sets(figures: LayoutFigures, name: str, from_m: float, to_m: float) -> list[Part]:
    kind = ComponentKind.VEE_RETURN_IDLERS if figures.is_vee_return else ComponentKind.RETURN_IDLERS
    first_m = from_m + min(figures.return_spacing_m, (to_m - from_m) / 2)
    last_m = to_m - _BESIDE_PULLEY_M
    return _sets(name, kind, Run.RETURN, first_m, last_m, figures.return_spacing_m)


def _take_up(figures: LayoutFigures, left_head_m: float) -> tuple[list[Part], float]:
    """Bend and take-up pulleys, and how far from the head they leave the belt toward the tail."""
    bend, take_up = ComponentKind.BEND_PULLEY, ComponentKind.TAKE_UP_PULLEY
    bend_mm, leg_m = figures.bend_diameter_mm, figures.take_up_leg_m
    first_m = left_head_m + figures.take_up_after_head_m
    if figures.take_up is TakeUpKind.HORIZONTAL:
        one = _pulley("BEND-1", bend, first_m, bend_mm, 180, 360)
        there_m = one.first_m + one.arc_m + leg_m
        other = _pulley("TAKE-UP", take_up, there_m, figures.take_up_diameter_mm, 360, 180)
        return [one, other], figures.take_up_after_head_m - leg_m
    one = _pulley("BEND-1", bend, first_m, bend_mm, 180, 270)
    there_m = one.first_m + one.arc_m + leg_m
    hanging = _pulley("TAKE-UP", take_up, there_m, figures.take_up_diameter_mm, 270, 90)
    up_m = hanging.first_m + hanging.arc_m + leg_m
    other = _pulley("BEND-2", bend, up_m, bend_mm, 90, 180)
    across_m = (bend_mm + figures.take_up_diameter_mm) / 1000
    return [one, hanging, other], figures.take_up_after_head_m + across_m
