"""Whatever a file holds: refused in one line, or answered in strict JSON and as a page."""

import json
import math

from hypothesis import given, settings
from hypothesis import strategies as st

from workorders.planning.life_file.page import page_of
from workorders.planning.life_file.report import Costs, report_of
from workorders.planning.life_file.rows import LifeFile, LifeFileError, read_lives
from workorders.planning.lives import Lives

cells = st.sampled_from(
    [
        "",
        "1",
        "0",
        "2",
        "12.5",
        "-3",
        "nan",
        "1e999",
        "1e-320",
        '"',
        '"a,b"',
        "\x00",
        "é",
        " 7 ",
        "\r",
    ]
)
rows = st.lists(cells, max_size=5).map(",".join)
files = st.lists(rows, max_size=8).map(lambda lines: "\n".join(["age,failed,count", *lines]))

ages = st.one_of(
    st.floats(1e-300, 1e300), st.floats(1, 1e5), st.sampled_from([5e-324, 1.0, 2.0, 1.7e308])
)
lives = st.lists(
    st.tuples(ages, st.booleans(), st.one_of(st.integers(1, 9), st.just(10**12))),
    min_size=1,
    max_size=8,
)
costs = st.one_of(
    st.none(),
    st.tuples(st.floats(1e-3, 1e6), st.floats(1e-3, 1e6)).map(lambda both: Costs(*both)),
)


def answer_to(content: bytes) -> int | str:
    try:
        return read_lives(content).lives.count
    except LifeFileError as refused:
        return str(refused)


@settings(max_examples=300, deadline=None)
@given(st.one_of(files.map(str.encode), st.binary(max_size=80)))
def test_any_content_is_read_or_refused_in_one_line(content):
    answer = answer_to(content)

    if isinstance(answer, str):
        assert answer.startswith("row ")
        assert "\n" not in answer
    else:
        assert answer > 0


@settings(max_examples=300, deadline=None)
@given(lives, costs, st.one_of(st.just(0.9), st.floats(1e-12, 1 - 1e-12)))
def test_any_lives_are_answered_in_strict_json_and_as_a_page(seen, asked, level):
    report = report_of(LifeFile(Lives.of(seen), 0), level, asked)

    answer = json.loads(json.dumps(report.as_json(), allow_nan=False))
    page_of(report)
    for part in (answer["weibull"], answer["age_replacement"], *answer["survival"]):
        if part is not None and None in part.values():
            assert part["notes"]
    if answer["weibull"] is None or answer["age_replacement"] is None:
        assert answer["notes"]
    for step in answer["survival"]:
        assert step["lower"] is None or step["lower"] <= step["survival"] <= step["upper"]
    fit = report.weibull
    if fit is not None:
        assert fit.shape_lower <= fit.life.shape <= fit.shape_upper
        assert math.isfinite(fit.loglik)
