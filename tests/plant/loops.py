"""Loops for the tests of the pure packages: a hand-made one, seven open ones, and drawn ones."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from plant.loop.layout import LayoutFigures
from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import PULLEYS, ComponentKind, Run, TakeUpKind

K = ComponentKind
OPEN_CONVEYORS = json.loads(
    (Path(__file__).parent / "data" / "open_conveyors.json").read_text(encoding="utf-8")
)["conveyors"]


def short_loop() -> list[Part]:
    """Head at 20 m, tail at 42 m: every kind of check has something to bite on."""
    carrying, back = Run.CARRYING, Run.RETURN
    return [
        Part("LOAD", K.LOAD_POINT, carrying, 2.0, length_m=2.0),
        Part("I", K.IMPACT_IDLERS, carrying, 1.5, 0.5, 4, is_numbered=True),
        Part("C", K.TROUGHING_IDLERS, carrying, 4.2, 1.2, 12, is_numbered=True),
        Part("HEAD", K.HEAD_PULLEY, carrying, 20.0, diameter_mm=600, wrap_deg=180),
        Part("R", K.RETURN_IDLERS, back, 24.0, 3.0, 6, is_numbered=True),
        Part("TAIL", K.TAIL_PULLEY, back, 42.0, diameter_mm=600, wrap_deg=180),
    ]


def changed(which: str, **fields: Any) -> list[Part]:
    """The short loop with one part changed."""
    return [replace(one, **fields) if one.name == which else one for one in short_loop()]


def parts_of(conveyor: Mapping[str, Any]) -> list[Part]:
    return [_part(row) for row in conveyor["components"]]


def _part(row: Mapping[str, Any]) -> Part:
    kind = ComponentKind(row["kind"])
    run = {"head": "carrying", "tail": "return"}.get(row["run"], row["run"])
    if kind in PULLEYS:
        keys = ("diameter_mm", "wrap_deg", "in_deg", "out_deg")
        return Part(
            row["name"], kind, Run(run), row["position_m"], **{key: row[key] for key in keys}
        )
    return Part(
        name=row.get("prefix") or row["name"],
        kind=kind,
        run=Run(run),
        first_m=row["first_m"] if "first_m" in row else row["position_m"],
        spacing_m=row.get("spacing_m"),
        count=row.get("count", 1),
        is_numbered="prefix" in row,
        length_m=row.get("skirt_length_m"),
    )


def layouts() -> st.SearchStrategy[LayoutFigures]:
    """Ordinary conveyors from a 15 m feeder to a 2 km overland, every kind of take-up."""
    return st.builds(
        LayoutFigures,
        centre_distance_m=st.floats(25, 2000),
        head_diameter_mm=st.floats(300, 1400),
        tail_diameter_mm=st.floats(300, 1400),
        carrying_spacing_m=st.floats(0.8, 2.0),
        return_spacing_m=st.floats(2.0, 6.0),
        impact_spacing_m=st.floats(0.3, 0.8),
        load_at_m=st.floats(0.0, 6.0),
        skirt_m=st.floats(0.0, 8.0),
        take_up=st.sampled_from(TakeUpKind),
        take_up_after_head_m=st.floats(2.0, 12.0),
        take_up_leg_m=st.floats(1.0, 9.0),
        take_up_diameter_mm=st.floats(300, 1200),
        bend_diameter_mm=st.floats(300, 1000),
        is_vee_return=st.booleans(),
    )


@st.composite
def odd_loops(draw: st.DrawFn) -> Loop:
    """Possible loops that nobody would build: any pulleys in any order, angles known or not."""
    carrying = draw(st.lists(_pulleys(_ANYWHERE), max_size=2))
    back = draw(st.lists(_pulleys([*_ANYWHERE, K.TAKE_UP_PULLEY]), max_size=6))
    kinds = [*carrying, (K.HEAD_PULLEY, *draw(_figures())), *back]
    kinds.append((K.TAIL_PULLEY, *draw(_figures())))
    at_m, run, parts = draw(st.floats(0.01, 800)), Run.CARRYING, []
    for number, (kind, diameter_mm, wrap_deg, angles) in enumerate(kinds):
        if kind is K.TAIL_PULLEY:
            run = Run.RETURN
        parts.append(
            Part(f"P{number}", kind, run, at_m, None, 1, False, diameter_mm, wrap_deg, *angles)
        )
        at_m += parts[-1].arc_m + draw(st.floats(0.01, 800))
        run = Run.RETURN if kind is K.HEAD_PULLEY else run
    return build_loop(parts)


_ANYWHERE = [K.BEND_PULLEY, K.SNUB_PULLEY, K.DRIVE_PULLEY]


def _figures() -> st.SearchStrategy[tuple[float, float, tuple[Any, Any]]]:
    angle = st.one_of(st.none(), st.sampled_from([0, 90, 180, 270, -180]), st.floats(-720, 720))
    return st.tuples(st.floats(50, 3000), st.floats(1, 360), st.tuples(angle, angle))


def _pulleys(kinds: list[ComponentKind]) -> st.SearchStrategy[Any]:
    return st.tuples(st.sampled_from(kinds), _figures()).map(lambda one: (one[0], *one[1]))
