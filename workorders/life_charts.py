"""Lives as a drawing: the share that survives as steps, the fitted curve, the replacement age."""

from dataclasses import dataclass
from typing import Any

from plant.chart_specs import SCHEMA, telling_places, told
from plant.charts import AMBER, BLUE, INK
from workorders.selectors.life_answers import LifeAnswer

_HEIGHT = 240
_POINTS = 60
_BEYOND = 1.1
# More corners no eye tells apart.
_MOST_STEPS = 300


@dataclass(frozen=True)
class ChartWords:
    """Of the axes (`across` is the age), of the replacement age and of what a step tells."""

    share: str
    across: str
    replace: str
    lower: str
    upper: str


def survival_chart(answer: LifeAnswer, words: ChartWords, *, width: int) -> dict[str, Any]:
    """Needs at least one failure."""
    ages = answer.data.lives.ages
    last = ages[-1] * _BEYOND
    replacement = answer.replacement.age if answer.replacement else None
    if replacement is not None and replacement < 2 * last:
        last = max(last, replacement * _BEYOND)
    layers = [
        *_limits(answer),
        _steps(answer, ages[-1]),
        *_curve(answer, last),
        *_age(replacement, last, words.replace),
        _told_steps(answer, words),
    ]
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 16, "top": 14, "bottom": 4},
        "encoding": _axes(words.share, words.across, last),
        "layer": layers,
    }


def _axes(axis: str, across: str, last: float) -> dict[str, Any]:
    x = {
        "field": "age",
        "type": "quantitative",
        "axis": {"title": across, "tickCount": 5, "grid": False, "format": ",.0f"},
        "scale": {"domain": [0, last], "nice": False},
    }
    y = {
        "field": "share",
        "type": "quantitative",
        "axis": {"title": axis, "format": ".0%", "tickCount": 5},
        "scale": {"domain": [0, 1]},
    }
    return {"x": x, "y": y}


def _steps(answer: LifeAnswer, end: float) -> dict[str, Any]:
    steps = _thinned(answer)
    values = [{"age": 0.0, "share": 1.0}]
    values += [{"age": one.age, "share": one.survival} for one in steps]
    values.append({"age": end, "share": values[-1]["share"]})
    return {
        "data": {"values": values},
        "mark": {"type": "line", "interpolate": "step-after", "stroke": BLUE, "strokeWidth": 2},
    }


def _told_steps(answer: LifeAnswer, words: ChartWords) -> dict[str, Any]:
    values = [
        {"age": one.age, "share": one.survival, "lower": one.lower, "upper": one.upper}
        for one in _thinned(answer)
    ]
    tells = told(
        ("age", words.across, ",.0f"),
        ("share", words.share, ".1%"),
        ("lower", words.lower, ".1%"),
        ("upper", words.upper, ".1%"),
    )
    return {"data": {"values": values}, **telling_places({}, tells)}


def _limits(answer: LifeAnswer) -> list[dict[str, Any]]:
    """Both limits, thin, where there are any."""
    found = []
    for name in ("lower", "upper"):
        values = [
            {"age": one.age, "share": getattr(one, name)}
            for one in _thinned(answer)
            if getattr(one, name) is not None
        ]
        mark = {"type": "line", "interpolate": "step-after", "stroke": BLUE, "strokeWidth": 0.8}
        found.append({"data": {"values": values}, "mark": {**mark, "strokeDash": [2, 3]}})
    return found


def _curve(answer: LifeAnswer, last: float) -> list[dict[str, Any]]:
    if answer.fit is None:
        return []
    ages = [last * step / _POINTS for step in range(_POINTS + 1)]
    values = [{"age": age, "share": answer.fit.life.survival(age)} for age in ages]
    return [{"data": {"values": values}, "mark": {"type": "line", "stroke": INK}}]


def _age(age: float | None, last: float, words: str) -> list[dict[str, Any]]:
    if age is None or age > last:
        return []
    align = "right" if age > last / 2 else "left"
    text = {"type": "text", "align": align, "dx": -6 if align == "right" else 6, "dy": 8}
    return [
        {
            "data": {"values": [{"age": age, "words": words}]},
            "encoding": {"y": {"value": 0}},
            "layer": [
                {
                    "mark": {"type": "rule", "stroke": AMBER, "strokeWidth": 2},
                    "encoding": {"y2": {"value": _HEIGHT}},
                },
                {"mark": text, "encoding": {"text": {"field": "words"}}},
            ],
        }
    ]


def _thinned(answer: LifeAnswer) -> Any:
    every = -(-len(answer.steps) // _MOST_STEPS) or 1
    # Counted from the end, so that the last age is always there.
    return answer.steps[(len(answer.steps) - 1) % every :: every] if answer.steps else ()
