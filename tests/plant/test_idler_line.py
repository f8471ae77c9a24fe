"""A group of idlers said in one line: what is read, and what is refused with what it was."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.loop.idler_line import IdlerLine, LineRefused, read_line
from plant.loop.vocabulary import ComponentKind, Run

K = ComponentKind


@pytest.mark.parametrize(
    ("line", "kind", "first_mm", "spacing_mm", "count"),
    [
        # 304 m at 1.2 m: 253 whole spacings, so 254 sets, the last at 309.6 m.
        ("troughing idlers, 35 deg, every 1.2 m from 6 m to 310 m",
         K.TROUGHING_IDLERS, 6000, 1200, 254),
        ("Troughing idlers 35° every 1,2 m from 6 m to 310 m", K.TROUGHING_IDLERS, 6000, 1200, 254),
        ("254 sets every 1200 mm from 6 m troughing", K.TROUGHING_IDLERS, 6000, 1200, 254),
        ("impact idlers every 400mm from 1.5 to 4.5", K.IMPACT_IDLERS, 1500, 400, 8),
        ("return idlers, every 3 m, from 320,5 m to 620 m", K.RETURN_IDLERS, 320_500, 3000, 100),
        ("vee return idlers every 3m from 320 m to 326 m", K.VEE_RETURN_IDLERS, 320_000, 3000, 3),
        ("V-return every 3m from 320 m to 326 m", K.VEE_RETURN_IDLERS, 320_000, 3000, 3),
        ("2 self-aligning idlers every 30 m from 40 m", K.SELF_ALIGNING_IDLER, 40_000, 30_000, 2),
        ("transition idlers 20 deg, 3 sets every 90 cm from 1 m", K.TRANSITION_IDLERS,
         1000, 900, 3),
        ("10 carrying idlers every 1 m from 0", K.TROUGHING_IDLERS, 0, 1000, 10),
        ("EVERY 1 METRE FROM 0 TO 9 METRES TROUGHED IDLERS", K.TROUGHING_IDLERS, 0, 1000, 10),
        # 0.1 has no exact binary figure; millimetres have.
        ("troughing every 0.1 m from 0.3 m to 0.9 m", K.TROUGHING_IDLERS, 300, 100, 7),
    ],
)  # fmt: skip
def test_a_line_is_read(line: str, kind: K, first_mm: int, spacing_mm: int, count: int):
    read = read_line(line)

    assert (read.kind, read.first_mm, read.spacing_mm, read.count) == (
        kind,
        first_mm,
        spacing_mm,
        count,
    )


def test_name_number_run_and_angle_are_read_where_they_are_said():
    line = "C: troughing idlers, 27,5 deg, every 1 m from 6 m to 8.4 m, numbered from 21"

    read = read_line(line)

    assert read == IdlerLine(
        K.TROUGHING_IDLERS, 6000, 1000, 3, None, "C", 21, angle_deg=27.5, over_mm=400
    )
    on_return = read_line("3 self aligning idlers named SA- every 9 m from 90 m on the return run")
    assert (on_return.prefix, on_return.run) == ("SA-", Run.RETURN)


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("   ", "empty", ""),
        ("troughing " * 40, "too_long", ""),
        ("every 1.2 m from 6 m to 310 m", "no_kind", ""),
        ("troughing impact idlers every 1 m from 6 m to 9 m", "two_kinds", "troughing"),
        ("troughing idlers from 6 m to 310 m", "no_spacing", ""),
        ("troughing idlers every 1.2 m to 310 m", "no_start", ""),
        ("troughing idlers every 1.2 m from 6 m", "no_end", ""),
        ("troughing idlers every 1.2 m from 6 m to 3 m", "end_before_start", "to 3 m"),
        ("troughing idlers every 0 m from 6 m to 310 m", "spacing_cannot_be", "every 0 m"),
        ("troughing idlers every 1200 from 6 m to 310 m", "spacing_cannot_be", "every 1200"),
        ("troughing idlers every -1 m from 6 m to 310 m", "spacing_cannot_be", "every -1 m"),
        ("troughing idlers every 1 m from -6 m to 310 m", "start_cannot_be", "from -6 m"),
        ("troughing every 1 m from 6 m to 999999999 m", "end_cannot_be", "to 999999999 m"),
        ("troughing idlers every 0.0005 m from 6 m to 7 m", "finer_than_mm", "every 0.0005 m"),
        ("troughing idlers every 1,200 mm from 6 m to 310 m", "two_ways", "1,200"),
        ("troughing every 1.2.3 m from 6 m to 310 m", "two_ways", "1.2.3"),
        ("troughing every 1 m from 6 m to 9 m from 12 m", "said_twice", "from 12 m"),
        ("0 troughing idlers every 1 m from 6 m", "count_cannot_be", "0"),
        ("troughing idlers every 1 mm from 0 m to 100 m", "count_cannot_be", "100001"),
        ("7 troughing idlers every 1 m from 6 m to 9 m", "count_and_end", "7"),
        ("troughing idlers 75 deg every 1 m from 6 m to 9 m", "angle_cannot_be", "75 deg"),
        ("troughing idlers every 1 m from 6 m to 9 m on the return run", "wrong_run", "return"),
        ("troughing idlers every 4 ft from 6 m to 310 m", "not_understood", "ft"),
        ("troughing gadgets every 1 m from 6 m to 9 m", "not_understood", "gadgets"),
        ("troughing every 1 m from 6 m to 9 m; drop table", "not_understood", "drop table"),
        ("troughing every 1 m from 6 m to 9 m numbered 0", "number_too_large", "0"),
    ],
)  # fmt: skip
def test_what_is_not_read_is_said(line: str, code: str, said: str):
    with pytest.raises(LineRefused) as refused:
        read_line(line)

    assert (refused.value.code, refused.value.said) == (code, said)


@given(st.text(max_size=220))
def test_any_text_is_read_or_refused(text: str):
    with suppress(LineRefused):
        assert read_line(text).count >= 1


_ALPHABET = ["every", "from", "to", "1,2", "6", "m", "mm", "deg", "°", ":", "troughing", "return",
             "on the return run", "numbered", "named", "C", "sets", "-", "٣", "9" * 30]  # fmt: skip


@given(st.lists(st.sampled_from(_ALPHABET), max_size=12))
def test_words_in_any_disorder_are_read_or_refused(words: list[str]):
    try:
        read = read_line(" ".join(words))
    except LineRefused:
        return
    assert read.count >= 1
    assert read.spacing_mm > 0


@given(
    st.integers(1, 50_000), st.integers(0, 100_000), st.integers(1, 900),
    st.sampled_from([",", "."]),
)  # fmt: skip
def test_counting_out_and_measuring_to_the_last_set_say_the_same(spacing, first, count, mark):
    def metres(mm: int) -> str:
        return f"{mm // 1000}{mark}{mm % 1000:03d}0"

    last = first + spacing * (count - 1)
    if last > 100_000_000:
        return
    begun = f"return idlers every {metres(spacing)} m from {metres(first)} m"

    assert read_line(f"{begun} to {metres(last)} m") == read_line(f"{count} sets, {begun}")
