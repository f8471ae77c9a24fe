"""The parts that this room puts on a belt's page of recurring faults."""

from diagnostics import replacements
from diagnostics.belt_trend import families, fault_map, figures, mean_course, parts, when, where
from diagnostics.belt_trend.parts import Part
from diagnostics.selectors.register_replacements import register_replacements


def register() -> None:
    for part in (
        Part(5, "figures", figures.build),
        Part(10, "places", where.build),
        Part(20, "time", when.build),
        Part(30, "course", mean_course.build),
        Part(40, "zones", fault_map.build),
        Part(50, "families", families.build),
    ):
        parts.register(part)
    replacements.register("register", register_replacements)
