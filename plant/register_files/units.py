"""Units of figures, in headers and cells, brought to the unit in which the register keeps them."""

import re
from functools import cache, lru_cache
from typing import Any

from plant.register_files.refusals import CellRefused

# How the trade writes what the library of units calls otherwise.
_WORDS = {
    '"': "inch",
    "″": "inch",
    "in": "inch",
    "in.": "inch",
    "'": "foot",
    "′": "foot",
    "ft.": "foot",
    "°": "degree",
    "deg": "degree",
    "degrees": "degree",
    "°c": "degC",
    "c": "degC",
    "degc": "degC",
    "°f": "degF",
    "f": "degF",
    "degf": "degF",
    "k": "kelvin",
    "fpm": "foot/minute",
    "ft/min": "foot/minute",
    "ft/m": "foot/minute",
    "mpm": "meter/minute",
    "m/min": "meter/minute",
    "t/h": "metric_ton/hour",
    "tph": "metric_ton/hour",
    "mtph": "metric_ton/hour",
    "stph": "short_ton/hour",
    "kg/h": "kilogram/hour",
    "n/mm": "newton/millimeter",
    "kn/m": "kilonewton/meter",
    "piw": "force_pound/inch",
    "lb/in": "force_pound/inch",
    "lbf/in": "force_pound/inch",
    "lbf": "force_pound",
    "lb": "force_pound",
    "kgf": "kilogram_force",
    "t": "metric_ton_force",
    "kn": "kilonewton",
    "mn": "meganewton",
    "n": "newton",
    "kg/m²": "kilogram/meter**2",
    "kg/m2": "kilogram/meter**2",
    "kg/m^2": "kilogram/meter**2",
    "lb/ft²": "pound/foot**2",
    "lb/ft2": "pound/foot**2",
    "lb/ft^2": "pound/foot**2",
    "psf": "pound/foot**2",
    "mil": "thou",
    "mils": "thou",
    "pcs": "dimensionless",
    "grade": "dimensionless",
}
# Anything else is a few names of units between strokes; no numbers, so that nothing is computed.
_UNIT = re.compile(r"[A-Za-zµμΩ°]+(?:\^?[23]|[²³])?(?:[/·* ][A-Za-zµμ°]+(?:\^?[23]|[²³])?){0,3}")
_LONGEST = 24


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(cache_folder=None)


def is_unit(words: str) -> bool:
    return _parsed(words.strip()) is not None


def fits(words: str, wanted: str) -> bool:
    return _factor(words.strip(), wanted) is not None


def factor(words: str, wanted: str) -> tuple[float, float]:
    """Scale and shift that bring a figure from the unit in words to the one wanted.

    Raises
    ------
    CellRefused
        The words are no unit, or one of something else.
    """
    found = _factor(words.strip(), wanted)
    if found is None:
        raise CellRefused("wrong_unit", unit=words.strip()[:_LONGEST], wanted=wanted)
    return found


def converted(value: float, words: str, wanted: str) -> float:
    """A figure in the unit wanted, without the last digits that only the arithmetic made."""
    scale, shift = factor(words, wanted)
    if (scale, shift) == (1.0, 0.0):
        return value
    return float(f"{value * scale + shift:.12g}")


@lru_cache(4096)
def _parsed(words: str) -> Any:
    if not words or len(words) > _LONGEST:
        return None
    name = _WORDS.get(words) or _WORDS.get(words.casefold())
    if name is None:
        if not _UNIT.fullmatch(words):
            return None
        name = words.replace("²", "**2").replace("³", "**3").replace("^", "**").replace("·", "*")
        name = re.sub(r"(?<=[A-Za-z])([23])", r"**\1", name)
    try:
        return _registry().Unit(name)
    except Exception:
        # The library raises many kinds of errors about words that are no unit.
        return None


@lru_cache(4096)
def _factor(words: str, wanted: str) -> tuple[float, float] | None:
    unit, target = _parsed(words), _parsed(wanted)
    if unit is None or unit.dimensionality != target.dimensionality:
        return None
    if unit == target:
        return 1.0, 0.0
    quantity = _registry().Quantity
    zero = quantity(0.0, unit).to(target).magnitude
    # Wide apart, so that the shift's rounding does not show in the scale.
    one = zero + (quantity(1e6, unit).to(target).magnitude - zero) / 1e6
    # Only temperatures have a shift; of everything else the zero is the zero.
    return float(f"{one - zero:.14g}"), round(float(zero), 9)
