"""Whatever stands in a file of events: an answer that fits together, or one line of refusal."""

import json

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.recurrence.mean_cumulative import Variance
from diagnostics.recurrence.trend_report import event_file, watching
from diagnostics.recurrence.trend_report.answer import answer_of
from diagnostics.recurrence.trend_report.event_file import TrendFileError
from diagnostics.recurrence.trend_report.figures import Asked, figures_of
from diagnostics.recurrence.trend_report.page import page_of
from tests.diagnostics.recurrence.trends_answer import checked

# Few different times, so that there are ties; of any size that a unit of time could give them.
TIMES = st.builds(
    lambda figure, power: figure * 10.0**power,
    st.integers(1, 12),
    st.sampled_from([0, 0, 0, -300, -9, 13]),
)
ROWS = st.lists(st.tuples(st.sampled_from(["CV-1", "CV-2", "CV-3", "CV-4"]), TIMES), max_size=12)
ASKED = st.builds(
    Asked,
    st.sampled_from([0.01, 0.5, 0.9, 0.999, 1 - 1e-9]),
    st.sampled_from(Variance),
    st.sampled_from([1e-6, 1.5, 1e6]),
)
LINES = st.text(st.sampled_from('CV-1,;\n\r"\t 059.eE+unitmax\x00é=∞'), max_size=60)


@settings(max_examples=80, deadline=None)
@given(ROWS, ASKED, st.sampled_from(["until", "ends", "last event"]))
def test_any_events_get_an_answer_that_fits_together(rows, asked, ended):
    content = "\n".join(["unit,time", *(f"{unit},{time!r}" for unit, time in rows)]).encode()
    events = event_file.read_events(content)
    end = max((time for _, time in rows), default=1.0)
    if ended == "until":
        watched = watching.watched_until(events, end)
    elif ended == "ends":
        watched = watching.watched_to_ends(events, dict.fromkeys(["CV-9", *events.names], end))
    elif len(events.names) == 1:
        watched = watching.watched_to_last_event(events)
    else:
        return

    figures = figures_of(watched, asked)

    answer = checked(json.dumps(answer_of(figures), allow_nan=False))
    assert answer["events"] == len(rows) == sum(one["events"] for one in answer["rates"])
    means = [one["mcf"] for one in answer["mcf"]]
    assert means == sorted(means)
    for step in answer["mcf"]:
        if step["se"] is not None:
            assert 0 <= step["lower"] <= step["mcf"] * (1 + 1e-9)
            assert step["mcf"] <= step["upper"] * (1 + 1e-9)
    law = answer["power_law"]
    for lower, upper in (("shape_lower", "shape_upper"), ("mtbf_lower", "mtbf_upper")):
        assert None in (law[lower], law[upper]) or 0 <= law[lower] <= law[upper]
    assert "nan" not in page_of(figures)


def refusal_of(content: bytes) -> str:
    """What is said against it; empty when it is read, and then every event is one."""
    try:
        events = event_file.read_events(content)
    except TrendFileError as error:
        return str(error)
    assert (np.isfinite(events.time) & (events.time > 0)).all()
    assert all(name and name == name.strip() for name in events.names)
    return ""


@settings(max_examples=300, deadline=None)
@given(LINES)
def test_any_text_is_read_or_refused_by_row_and_field(text):
    for content in (text.encode(), f"unit,time\n{text}".encode()):
        said = refusal_of(content)

        assert not said or (said.startswith("row ") and said.count(": ") >= 2)
        assert said.isprintable()
