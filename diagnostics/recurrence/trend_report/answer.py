"""All figures as the JSON document of the contract; pure.

What is not defined is null, and the object it stands in has notes that say why.
"""

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from diagnostics.recurrence.trend_report.figures import ONE_UNIT_SHORT, TOO_EXTREME, TrendFigures

Answer = dict[str, Any]


def answer_of(figures: TrendFigures) -> Answer:
    """The whole document; every number in it is finite."""
    histories, prior = figures.watched.histories, figures.rates.prior
    return {
        "units": histories.units,
        "events": histories.events,
        "exposure": float(histories.exposure.sum()),
        "mcf": _mcf(figures),
        "laplace": _noted(
            {"u": float(figures.laplace.u), "p": float(figures.laplace.p)}, figures.test_notes
        ),
        "military_handbook": _handbook(figures),
        "power_law": _power_law(figures),
        "rates": _rates(figures),
        "prior": None if prior is None else {"a": prior.a, "b": prior.b},
        "notes": list(figures.notes),
    }


def _mcf(figures: TrendFigures) -> list[Answer]:
    mcf = figures.mcf
    steps = [
        {"time": time, "mcf": mean, "se": se, "lower": lower, "upper": upper}
        for time, mean, se, lower, upper in zip(
            mcf.time.tolist(),
            mcf.mcf.tolist(),
            mcf.se.tolist(),
            mcf.lower.tolist(),
            mcf.upper.tolist(),
            strict=True,
        )
    ]
    # Hundreds of thousands of steps: each is looked at only where one of them lacks a figure.
    if np.isfinite((mcf.mcf, mcf.se, mcf.lower, mcf.upper)).all():
        return steps
    return [_noted(step, (ONE_UNIT_SHORT,), always=False) for step in steps]


def _handbook(figures: TrendFigures) -> Answer:
    found = figures.handbook
    return _noted(
        {
            "chi2": float(found.chi2),
            "df": int(found.df),
            "p_lower": float(found.p_lower),
            "p_two_sided": float(found.p_two_sided),
        },
        figures.test_notes,
    )


def _power_law(figures: TrendFigures) -> Answer:
    law = figures.power_law
    return _noted(
        {
            "shape": law.shape,
            "scale": law.scale,
            "shape_corrected": law.shape_corrected,
            "scale_corrected": law.scale_corrected,
            "shape_lower": law.shape_lower,
            "shape_upper": law.shape_upper,
            "mtbf_at_end": law.mtbf_at_end,
            "mtbf_lower": law.mtbf_lower,
            "mtbf_upper": law.mtbf_upper,
            "cramer_von_mises": figures.fit.distance,
            "cramer_von_mises_critical": figures.fit.critical,
        },
        figures.power_law_notes,
    )


def _rates(figures: TrendFigures) -> list[Answer]:
    histories, rates = figures.watched.histories, figures.rates
    rows = zip(
        figures.watched.names,
        histories.counts.tolist(),
        histories.exposure.tolist(),
        rates.rate.tolist(),
        rates.shrunk.tolist(),
        rates.lower.tolist(),
        rates.upper.tolist(),
        rates.probability_worse.tolist(),
        strict=True,
    )
    names = ("unit", "events", "exposure", "rate", "shrunk", "lower", "upper", "probability_worse")
    return [
        _noted(dict(zip(names, row, strict=True)), figures.worse_notes, always=False)
        for row in rows
    ]


def _noted(fields: Answer, notes: Iterable[str], *, always: bool = True) -> Answer:
    """Null for what is no number, with notes beside it; without such fields only if `always`."""
    found = {name: _known(one) for name, one in fields.items()}
    said = list(notes)
    # What overflows is infinite, what is undefined is nan.
    if math.inf in fields.values() or (None in found.values() and not said):
        said.append(TOO_EXTREME)
    return {**found, "notes": said} if always or None in found.values() else found


def _known(figure: Any) -> Any:
    return None if isinstance(figure, float) and not math.isfinite(figure) else figure
