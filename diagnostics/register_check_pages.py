"""The engineering check as its page shows it: questions first, then all that was compared."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.mechanics.register_check.checking import Checked
from diagnostics.mechanics.register_check.findings import (
    Compared,
    Given,
    Missing,
    Quantity,
    Unchecked,
    Unit,
)
from diagnostics.mechanics.register_check.formulas import counterweight_kg
from diagnostics.mechanics.register_check.tension_checks import Tensions
from diagnostics.register_check_quantities import bound_words, quantity_words
from diagnostics.register_check_sources import BASES, SIGN_WORDS, Basis, sign
from diagnostics.register_check_tension import tension_view
from diagnostics.register_check_ways import Way, Ways, names_words
from diagnostics.register_check_words import CHECK_WORDS, MISSING_WORDS, Words, question_words
from diagnostics.selectors import shelf
from plant.chart_view import ChartView
from plant.models import Conveyor

# What a person reads before going to measure, or to change a take-up; the most important first.
CAUTIONS = (
    "stay-outside-guards",
    "never-reach-in",
    "isolate-lock-try",
    "stored-energy",
    "counterweight",
    "stand-clear-start-stop",
    "tell-someone",
    "local-rules",
)
_READ_ON_THE_PAGE = (Missing.PULLEY_SPEED, Missing.TAKE_UP_MASS)


@dataclass(frozen=True)
class GivenWords:
    sign: str
    meaning: Words
    figure: str
    is_assumed: bool


@dataclass(frozen=True)
class Comparison:
    """One finding in words; `question` is asked only where the two figures do not fit."""

    title: Words
    question: str
    found: tuple[Words, str]
    wanted: tuple[Words, str]
    at: str
    basis: Basis
    given: list[GivenWords]
    ways: list[Way]
    is_work: bool


@dataclass(frozen=True)
class NotChecked:
    """Checks that lack the same figure."""

    titles: str
    reason: Words
    names: str
    ways: list[Way]
    is_read_below: bool


@dataclass(frozen=True)
class NeedWords:
    title: Words
    strand: str
    mass: str
    is_lacking: bool


@dataclass(frozen=True)
class TensionPage:
    chart: ChartView
    strand: str
    strand_mass: str
    needs: list[NeedWords]


@dataclass(frozen=True)
class CheckPage:
    asking: list[Comparison]
    agreeing: list[Comparison]
    not_checked: list[NotChecked]
    tension: TensionPage | None
    cautions: list[str]


def check_page(checked: Checked, ways: Ways, conveyor: Conveyor, *, is_weighted: bool) -> CheckPage:
    """`is_weighted`: a weight holds the take-up, so that needs are told as weights too."""
    return CheckPage(
        asking=[_comparison(one, ways) for one in checked.asking],
        agreeing=[_comparison(one, ways) for one in checked.agreeing],
        not_checked=_not_checked(checked.unchecked, ways),
        tension=_tension(checked.tensions, is_weighted, conveyor.is_reversing),
        cautions=_cautions(conveyor.plant_id),
    )


def _cautions(plant_id: int) -> list[str]:
    known = shelf.shown_library_of(plant_id).knowledge.cautions
    return [known[slug] for slug in CAUTIONS if slug in known] or list(known.values())


def _comparison(one: Compared, ways: Ways) -> Comparison:
    words = CHECK_WORDS[one.check]
    said = {
        "found": quantity_words(one.found),
        "wanted": quantity_words(one.wanted),
        "at": names_words(one.at),
        "first": one.at[0] if one.at else "",
        "second": one.at[1] if len(one.at) > 1 else "",
    }
    return Comparison(
        title=words.title,
        question=str(question_words(one.check, one.bound)) % said if one.asks else "",
        found=(words.found, said["found"]),
        wanted=(words.wanted, bound_words(one.bound, one.wanted)),
        at=said["at"],
        basis=BASES[one.check],
        given=[_given(each) for each in one.given],
        ways=ways.to_mend(one),
        is_work=words.is_work,
    )


def _given(one: Given) -> GivenWords:
    meaning = SIGN_WORDS[one.symbol]
    return GivenWords(sign(one.symbol), meaning, quantity_words(one.quantity), one.is_assumed)


def _not_checked(unchecked: Iterable[Unchecked], ways: Ways) -> list[NotChecked]:
    by_missing: dict[Missing, list[Unchecked]] = {}
    for one in unchecked:
        by_missing.setdefault(one.missing, []).append(one)
    return [_lacking(missing, found, ways) for missing, found in by_missing.items()]


def _lacking(missing: Missing, found: list[Unchecked], ways: Ways) -> NotChecked:
    titles = dict.fromkeys(str(CHECK_WORDS[one.check].title) for one in found)
    names = list(dict.fromkeys(name for one in found for name in one.at))
    return NotChecked(
        titles=", ".join(titles),
        reason=MISSING_WORDS[missing],
        names=names_words(names),
        ways=ways.to_enter(missing, names),
        is_read_below=missing in _READ_ON_THE_PAGE,
    )


def _tension(tensions: Tensions, is_weighted: bool, is_reversing: bool) -> TensionPage | None:
    empty = tensions.empty
    if empty is None:
        return None
    return TensionPage(
        chart=tension_view(tensions, empty, is_reversing=is_reversing),
        strand=_newtons(empty.known_n),
        strand_mass=_kilograms(empty.known_n) if is_weighted else "",
        needs=[
            NeedWords(
                CHECK_WORDS[need.check].title,
                _newtons(max(need.strand_n, 0.0)),
                _kilograms(max(need.strand_n, 0.0)) if is_weighted else "",
                need.strand_n > empty.known_n,
            )
            for need in tensions.needs
        ],
    )


def _newtons(tension_n: float) -> str:
    return quantity_words(Quantity(float(tension_n), Unit.NEWTON))


def _kilograms(strand_n: float) -> str:
    return quantity_words(Quantity(counterweight_kg(strand_n), Unit.KILOGRAM))
