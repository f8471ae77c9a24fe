"""Small conveyors for tests of the belt mechanics."""

import math

import numpy as np

from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import BeltData, Line, LineData
from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind


def pulley(
    name: str,
    kind: ComponentKind,
    run: Run,
    at: float,
    angles: tuple[float, float],
    diameter_mm: float = 600,
) -> Part:
    start, end = angles
    return Part(
        name,
        kind,
        run,
        at,
        diameter_mm=diameter_mm,
        wrap_deg=abs(end - start),
        in_deg=start,
        out_deg=end,
    )


def flat_loop(centre_m: float = 100.0, spacing_m: float = 1.2, *, aligning: bool = False) -> Loop:
    """Tail, load point, troughing idlers, head, flat return idlers; screw take-up."""
    arc = math.pi * 0.3
    back = centre_m + arc
    parts = [
        Part("LOAD", ComponentKind.LOAD_POINT, Run.CARRYING, 2.0, length_m=3.0),
        Part(
            "C",
            ComponentKind.TROUGHING_IDLERS,
            Run.CARRYING,
            1.0,
            spacing_m,
            int((centre_m - 2) / spacing_m),
            True,
        ),
        pulley("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, centre_m, (0, -180)),
        Part(
            "R",
            ComponentKind.RETURN_IDLERS,
            Run.RETURN,
            back + 2.0,
            3.0,
            int((centre_m - 8) / 3),
            True,
        ),
        pulley("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, back + centre_m, (180, 0)),
    ]
    if aligning:
        parts.append(
            Part("SA", ComponentKind.SELF_ALIGNING_IDLER, Run.RETURN, back + centre_m - 4.0, 3.0)
        )
    return build_loop(parts)


def bare_span(span_m: float) -> Loop:
    """A carrying run without idlers; a long return on vee rolls brings the belt back central."""
    back = span_m + math.pi * 0.3
    return build_loop(
        [
            pulley("HEAD", ComponentKind.HEAD_PULLEY, Run.CARRYING, span_m, (0, -180)),
            Part("R", ComponentKind.VEE_RETURN_IDLERS, Run.RETURN, back + 1.0, 1.0, 1200, True),
            pulley("TAIL", ComponentKind.TAIL_PULLEY, Run.RETURN, back + 1210.0, (180, 0)),
        ]
    )


def line(
    loop: Loop,
    *,
    load_kg_m: float = 0.0,
    tension_n: float = 30_000.0,
    width_mm: float = 1000.0,
    modulus_kn_m: float = 8000.0,
    lift_m: float = 0.0,
    vee_deg: float = 0.0,
) -> Line:
    return Line(
        LineData(
            loop=loop,
            belt=BeltData.of(width_mm=width_mm, mass_kg_m2=14.0, modulus_kn_m=modulus_kn_m),
            load_kg_m=load_kg_m,
            centre_m=loop.head_m,
            lift_m=lift_m,
            trough_rad=math.radians(35),
            vee_rad=math.radians(vee_deg),
            take_up_kind=TakeUpKind.SCREW,
            take_up_n=tension_n,
        )
    )


def model(loop: Loop, **figures: float) -> LateralModel:
    return LateralModel(line(loop, **figures))


def offset_mm(of: LateralModel, candidates: Candidates, candidate: int, place_m: float) -> float:
    """How far one candidate of unit size moves the belt at a place. [mm per unit]"""
    solution = of.solve(candidates.of(candidate, 1.0))
    return 1000 * float(of.offsets_m(solution, np.array([place_m]))[0])
