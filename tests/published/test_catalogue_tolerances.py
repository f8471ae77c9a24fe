"""Limits written in the catalogue's texts against the published figures they restate."""

import re

import pytest

from diagnostics import knowledge_files


def numbers(slug: str, pattern: str) -> list[float]:
    found = re.search(pattern, knowledge_files.current().causes[slug].tolerance)
    assert found, f"{slug} no longer states this limit"
    return [float(one) for one in found.groups()]


def test_stringer_straightness_restates_cema_appendix_d() -> None:
    # CEMA installation standard for belt conveyors, appendix D: 1/8 in in 40 ft.
    published_mm_per_m = (25.4 / 8) / (40 * 0.3048)

    height_mm, length_m = numbers("structure_bowed", r"straight within (\d+) mm in (\d+) m")

    assert height_mm / length_m == pytest.approx(published_mm_per_m, rel=0.05)
    # Never laxer than published.
    assert height_mm / length_m <= published_mm_per_m


@pytest.mark.parametrize(
    ("slug", "pattern"),
    [
        ("structure_bowed", r"parallel within (\d+) mm"),
        ("structure_racked", r"equal within (\d+) mm"),
        ("structure_out_of_level", r"within (\d+) mm at any belt width"),
        ("return_idler_dropped", r"level within (\d+) mm"),
    ],
)
def test_three_millimetres_as_in_cema_appendix_d(slug: str, pattern: str) -> None:
    # Same standard, metric restatement: stringers parallel, diagonals equal, supports level.
    assert numbers(slug, pattern) == [3]


def test_step_between_idlers_restates_cema_appendix_d() -> None:
    # Same standard: at most 2 mm in height per metre of idler spacing.
    assert numbers("carrying_idler_dropped", r"at most (\d+) mm per metre of idler spacing") == [2]


def test_sag_restates_army_tm_5_3820_233_12_2() -> None:
    # US Army TM 5-3820-233-12/2: 1/2 to 3/4 in of sag on idlers 4 ft apart.
    least, most = (inches / 48 * 100 for inches in (0.5, 0.75))

    low, high = numbers("tension_too_low", r"(\d+(?:\.\d+)?) to (\d+(?:\.\d+)?) percent")

    assert low == pytest.approx(least, abs=0.1)
    assert high == pytest.approx(most, abs=0.1)


def test_camber_states_its_percentage_by_its_definition() -> None:
    # RMA definition as restated in trade texts: largest gap over length of the string, percent.
    percent, gap_mm, string_m = numbers(
        "belt_camber", r"([\d.]+) percent of the string length, (\d+) mm in (\d+) m"
    )

    assert percent == pytest.approx(gap_mm / (string_m * 1000) * 100)
