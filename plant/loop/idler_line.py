"""A group of idler sets said in one line, as somebody reads it off a drawing.

`troughing idlers, 35 deg, every 1.2 m from 6 m to 310 m` or `C: 254 impact sets every 400 mm from
6 m`. Words may stand in any order; what is left over is refused, never passed over.
"""

import re
from dataclasses import dataclass

from plant.loop.vocabulary import CARRYING_ONLY, RETURN_ONLY, ComponentKind, Run

MOST_LETTERS = 200
MOST_SETS = 20_000
MOST_SPACING_M = 50.0
MOST_PLACE_M = 100_000.0
MOST_DEG = 60.0
MOST_NUMBER = 99_999


class LineRefused(ValueError):
    """What of a line could not be read; `said` is that part of it, where there is one."""

    def __init__(self, code: str, said: str = "") -> None:
        super().__init__(f"{code}: {said}" if said else code)
        self.code, self.said = code, said


@dataclass(frozen=True)
class IdlerLine:
    """What a line says. `run`, `prefix` and `angle_deg` are None or empty where it does not.

    `over_mm` is what is left between the last set and the end that was said.
    """

    kind: ComponentKind
    first_mm: int
    spacing_mm: int
    count: int
    run: Run | None = None
    prefix: str = ""
    first_number: int = 1
    angle_deg: float | None = None
    over_mm: int = 0

    @property
    def last_mm(self) -> int:
        return self.first_mm + self.spacing_mm * (self.count - 1)


_FIGURE = r"[-+−]?\d+(?:[.,]\d+)*"
_LENGTH = rf"({_FIGURE})\s*(mm|millimet(?:re|er)s?|cm|metres?|meters?|m)?(?![\w])"
_MM = {"m": 1000, "c": 10}
_BETWEEN = r"(?<![\w.,])"
_KINDS = (
    (ComponentKind.SELF_ALIGNING_IDLER, r"self[- ]?(?:align|train|cent(?:e?r))ing"),
    (ComponentKind.VEE_RETURN_IDLERS, r"(?:vee|v)(?:[- ]?return)?"),
    (ComponentKind.IMPACT_IDLERS, r"impact"),
    (ComponentKind.TRANSITION_IDLERS, r"transition"),
    (ComponentKind.TROUGHING_IDLERS, r"trough(?:ing|ed)?|carry(?:ing)?"),
    (ComponentKind.RETURN_IDLERS, r"return"),
)
_FILLING = re.compile(r"(?i)\b(?:idlers?|rollers?|rolls?|sets?|of|at|with|and|group|a)\b|[,;:.×]")


def read_line(line: str) -> IdlerLine:
    """Read one line about a group of idler sets.

    Parameters
    ----------
    line : str
        Kind and `every X from A` with either `to B` or a number of sets; may add a trough angle,
        `named C` or `C:` in front, `numbered from 21`, `on the return run`. Decimal point or
        comma; m, cm or mm, metres where no unit stands.

    Returns
    -------
    IdlerLine

    Raises
    ------
    LineRefused
        Nothing typed, a part missing, said twice or not understood, a figure that cannot be.
    """
    if not line.strip():
        raise LineRefused("empty")
    if len(line) > MOST_LETTERS:
        raise LineRefused("too_long")
    left = _Left(" ".join(line.split()))
    prefix, first_number = _name(left)
    spacing = left.take(rf"{_BETWEEN}every\s+{_LENGTH}")
    start = left.take(rf"{_BETWEEN}from\s+{_LENGTH}")
    end = left.take(rf"{_BETWEEN}(?:up\s+)?(?:to|until)\s+{_LENGTH}")
    angle_deg = _angle(left)
    run = _run(left)
    kind = _kind(left)
    counted = left.take(rf"{_BETWEEN}(\d+)(?=\s*(?:sets?|idlers?|rolls?|x\b|×|,|$|\s))")
    left.check_empty()
    if kind is None:
        raise LineRefused("no_kind")
    if spacing is None or start is None:
        raise LineRefused("no_spacing" if spacing is None else "no_start")
    first_mm, spacing_mm = _mm(start, "start"), _mm(spacing, "spacing")
    if not 0 < spacing_mm <= MOST_SPACING_M * 1000:
        raise LineRefused("spacing_cannot_be", spacing[0])
    count, over_mm = _count(counted, end, first_mm, spacing_mm)
    _check_run(kind, run)
    if first_number + count - 1 > MOST_NUMBER:
        raise LineRefused("number_too_large", str(first_number))
    return IdlerLine(
        kind, first_mm, spacing_mm, count, run, prefix, first_number, angle_deg, over_mm
    )


class _Left:
    """What of a line is not read yet."""

    def __init__(self, text: str) -> None:
        self.text = text

    def take(self, pattern: str) -> tuple[str, ...] | None:
        """The one place that looks like this: the whole, then its groups; None: there is none."""
        found = list(re.finditer(pattern, self.text, re.I))
        if len(found) > 1:
            raise LineRefused("said_twice", found[1][0])
        if not found:
            return None
        start, end = found[0].span()
        # A bar keeps what stood on both sides from growing together.
        self.text = f"{self.text[:start]} | {self.text[end:]}"
        return (found[0][0], *(one or "" for one in found[0].groups()))

    def check_empty(self) -> None:
        rest = [" ".join(one.split()) for one in _FILLING.sub("|", self.text).split("|")]
        unread = next((one for one in rest if one), "")
        if unread:
            raise LineRefused("not_understood", unread[:40])


def _name(left: _Left) -> tuple[str, int]:
    ahead = left.take(r"^\s*([^\s:,;|]{1,32})\s*:")
    named = left.take(r"\b(?:named|called|prefix)\s+([^\s,;|:]{1,32})")
    if ahead and named:
        raise LineRefused("said_twice", named[0])
    numbered = left.take(r"\b(?:numbered|numbers)(?:\s+from)?\s+(\d{1,9})(?![\d.,]*\d)")
    number = int(numbered[1]) if numbered else 1
    if numbered and not 1 <= number <= MOST_NUMBER:
        raise LineRefused("number_too_large", numbered[1])
    found = ahead or named
    return (found[1] if found else ""), number


def _angle(left: _Left) -> float | None:
    found = left.take(rf"{_BETWEEN}({_FIGURE})\s*(?:°|deg(?:rees?)?\b)")
    if found is None:
        return None
    angle = _figure(found[1])
    if not 0 <= angle <= MOST_DEG:
        raise LineRefused("angle_cannot_be", found[0])
    return angle


def _run(left: _Left) -> Run | None:
    found = left.take(r"\bon (?:the )?(return|carry(?:ing)?)(?: (?:run|strand|side))?\b")
    if found is None:
        return None
    return Run.RETURN if found[1].casefold() == "return" else Run.CARRYING


def _kind(left: _Left) -> ComponentKind | None:
    kinds = []
    for kind, pattern in _KINDS:
        if found := left.take(rf"\b(?:{pattern})\b"):
            kinds.append((kind, found[0]))
    if len(kinds) > 1:
        raise LineRefused("two_kinds", kinds[1][1])
    return kinds[0][0] if kinds else None


def _check_run(kind: ComponentKind, run: Run | None) -> None:
    wrong = {Run.CARRYING: RETURN_ONLY, Run.RETURN: CARRYING_ONLY}
    if run is not None and kind in wrong[run]:
        raise LineRefused("wrong_run", run.value)


def _count(
    counted: tuple[str, ...] | None, end: tuple[str, ...] | None, first_mm: int, spacing_mm: int
) -> tuple[int, int]:
    """How many sets, and what is left behind the last of them. [mm]"""
    if end is None and counted is None:
        raise LineRefused("no_end")
    count, over_mm = 0, 0
    if end is not None:
        end_mm = _mm(end, "end")
        if end_mm < first_mm:
            raise LineRefused("end_before_start", end[0])
        count, over_mm = (end_mm - first_mm) // spacing_mm + 1, (end_mm - first_mm) % spacing_mm
    if counted is not None:
        said = int(counted[1][:9])
        if end is not None and said != count:
            raise LineRefused("count_and_end", counted[1][:9])
        count = said
    if not 1 <= count <= MOST_SETS:
        raise LineRefused("count_cannot_be", str(count))
    return count, over_mm


def _mm(found: tuple[str, ...], what: str) -> int:
    value = _figure(found[1])
    unit = (found[2] or "m").casefold()
    thousandths = value * (1 if unit.startswith(("mm", "mil")) else _MM[unit[0]])
    if value < 0 or thousandths > MOST_PLACE_M * 1000:
        raise LineRefused(f"{what}_cannot_be", found[0])
    if abs(thousandths - round(thousandths)) > 1e-6:
        raise LineRefused("finer_than_mm", found[0])
    return round(thousandths)


def _figure(digits: str) -> float:
    """Decimal point or comma; digits that could be grouped are not guessed at."""
    bare = digits.replace("−", "-")
    if len(re.findall("[.,]", bare)) > 1 or re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", bare):
        raise LineRefused("two_ways", digits)
    if len(bare) > 14:
        raise LineRefused("not_understood", digits[:40])
    return float(bare.replace(",", "."))
