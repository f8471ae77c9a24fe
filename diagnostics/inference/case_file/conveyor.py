"""The conveyor of a case file: its components as a checked loop, its belt, its duty."""

from diagnostics.inference.case_file.fields import CaseFileError, Field
from diagnostics.inference.evidence import BeltFacts, ConveyorFacts, SpliceFact
from plant.loop.parts import GeometryError, Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import PULLEYS, RETURN_ONLY, ComponentKind, Run, TakeUpKind

# More sets than the longest belts have; keeps a mistyped count from filling the memory.
_MOST_SETS = 40_000
# What can be a belt conveyor at all; what is possible but unlikely is kept and asked about.
_WIDTH_MM, _LENGTH_M, _SPEED_MPS, _CLEARANCE_MM = (50, 10_000), (1, 200_000), (0.01, 30), (1, 5000)
_LIFT_M, _CAPACITY_TPH, _TENSION_KN = (-5000, 5000), (0.01, 200_000), (0.05, 50_000)
_ANGLE_DEG, _TURN_DEG, _MASS_KG_M2 = (0, 90), (-720, 720), (0.5, 500)
_MODULUS_KN_M, _STRENGTH_N_MM = (10, 2_000_000), (10, 20_000)
_SPACING_M, _DIAMETER_MM, _WRAP_DEG = (0.05, 100), (10, 5000), (0.5, 360)
_RUNS = {"carrying": Run.CARRYING, "head": Run.CARRYING, "return": Run.RETURN, "tail": Run.RETURN}
_FILE_TAKE_UPS = {"gravity": TakeUpKind.GRAVITY, "screw": TakeUpKind.SCREW}


def read_run(field: Field) -> Run:
    """`head` is the end of the carrying run, `tail` the end of the return run."""
    if not isinstance(field.value, str) or field.value not in _RUNS:
        raise field.refuse("one of " + ", ".join(_RUNS))
    return _RUNS[field.value]


def read_conveyor(conveyor: Field, name: str) -> ConveyorFacts:
    """The conveyor, with its loop built and checked.

    Raises
    ------
    CaseFileError
        A field that is missing or not of the accepted form, or parts that make no loop.
    """
    belt = _read_belt(conveyor.entry("belt"))
    loop = _read_loop(conveyor.entry("components"), belt)
    take_up = conveyor.entry("take_up")
    kind = take_up.entry("kind")
    if not isinstance(kind.value, str) or kind.value not in _FILE_TAKE_UPS:
        raise kind.refuse("one of " + ", ".join(_FILE_TAKE_UPS))
    tag = conveyor.maybe("tag")
    return ConveyorFacts(
        tag=name if tag.value is None else tag.text(),
        loop=loop,
        belt=belt,
        speed_mps=conveyor.entry("speed_m_s").number(*_SPEED_MPS),
        clearance_mm=conveyor.entry("clearance_mm").number(*_CLEARANCE_MM),
        centre_distance_m=conveyor.maybe("centre_distance_m").number_or_none(*_LENGTH_M)
        or loop.head_m,
        lift_m=conveyor.maybe("lift_m").number_or(0.0, *_LIFT_M),
        capacity_tph=conveyor.maybe("capacity_t_h").number_or_none(*_CAPACITY_TPH),
        trough_angle_deg=conveyor.maybe("trough_angle_deg").number_or(35.0, *_ANGLE_DEG),
        return_vee_deg=conveyor.maybe("return_vee_deg").number_or(0.0, *_ANGLE_DEG),
        take_up_kind=_FILE_TAKE_UPS[kind.value],
        take_up_tension_kn=take_up.maybe("tension_kN").number_or_none(*_TENSION_KN),
    )


def _read_belt(belt: Field) -> BeltFacts:
    carcass = belt.maybe("carcass")
    splices = belt.maybe("splices")
    return BeltFacts(
        width_mm=belt.entry("width_mm").number(*_WIDTH_MM),
        length_m=belt.entry("length_m").number(*_LENGTH_M),
        carcass="EP" if carcass.value is None else carcass.text(),
        strength_n_mm=belt.maybe("strength_n_mm").number_or_none(*_STRENGTH_N_MM),
        modulus_kn_m=belt.maybe("modulus_kN_m").number_or_none(*_MODULUS_KN_M),
        mass_kg_m2=belt.maybe("mass_kg_m2").number_or_none(*_MASS_KG_M2),
        splices=()
        if splices.value is None
        else tuple(
            SpliceFact(row.entry("name").text(), row.entry("belt_position_m").number())
            for row in splices.rows()
        ),
    )


def _read_loop(components: Field, belt: BeltFacts) -> Loop:
    places: dict[str, str] = {}
    parts = []
    for row in components.rows():
        part = _read_part(row)
        parts.append(part)
        places[part.name] = row.place
        if sum(one.count for one in parts) > _MOST_SETS:
            raise CaseFileError(f"{components.place}: more than {_MOST_SETS} sets are not read.")
    try:
        return build_loop(parts, belt_length_m=belt.length_m)
    except GeometryError as error:
        place = places.get(error.part or "", components.place)
        raise CaseFileError(f"{place}: {error}") from error


def _read_part(row: Field) -> Part:
    kind = row.entry("kind").word(ComponentKind)
    if kind in PULLEYS:
        return _read_pulley(row, kind)
    if "prefix" in row.value:
        return Part(
            name=row.entry("prefix").text(),
            kind=kind,
            run=_run_or_usual(row, kind),
            first_m=row.entry("first_m").number(0, _LENGTH_M[1]),
            spacing_m=row.entry("spacing_m").number(*_SPACING_M),
            count=row.entry("count").count(_MOST_SETS),
            is_numbered=True,
        )
    reach = "skirt_length_m" if kind is ComponentKind.LOAD_POINT else "length_m"
    return Part(
        name=row.entry("name").text(),
        kind=kind,
        run=_run_or_usual(row, kind),
        first_m=row.entry("position_m").number(0, _LENGTH_M[1]),
        spacing_m=row.maybe("spacing_m").number_or_none(*_SPACING_M),
        length_m=row.maybe(reach).number_or_none(0, _LENGTH_M[1]),
    )


def _read_pulley(row: Field, kind: ComponentKind) -> Part:
    inward, outward = row.maybe("in_deg"), row.maybe("out_deg")
    return Part(
        name=row.entry("name").text(),
        kind=kind,
        run=_run_or_usual(row, kind),
        first_m=row.entry("position_m").number(0, _LENGTH_M[1]),
        diameter_mm=row.entry("diameter_mm").number(*_DIAMETER_MM),
        wrap_deg=row.entry("wrap_deg").number(*_WRAP_DEG),
        in_deg=inward.number_or_none(*_TURN_DEG),
        out_deg=outward.number_or_none(*_TURN_DEG),
    )


def _run_or_usual(row: Field, kind: ComponentKind) -> Run:
    run = row.maybe("run")
    if run.value is not None:
        return read_run(run)
    on_return = RETURN_ONLY | {ComponentKind.TAIL_PULLEY, ComponentKind.BEND_PULLEY}
    return Run.RETURN if kind in on_return else Run.CARRYING
