"""Components, belts, splices and marks by name, kind and note, typing errors forgiven.

Every word must be there, and one of them in the part's own words: a conveyor's tag narrows the
search ("Q30 head pulley") and is no find. Where nothing holds all words, what is like them comes.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.postgres.search import TrigramWordSimilarity
from django.core.paginator import Page, Paginator
from django.db.models import (
    BigIntegerField,
    BooleanField,
    Case,
    DecimalField,
    F,
    FloatField,
    IntegerField,
    Model,
    Q,
    QuerySet,
    TextField,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat
from django.utils.translation import gettext as _

from plant import access, slips
from plant.models import Belt, BeltMark, Component, Plant, Splice
from plant.selectors.finding_conveyors import (
    BETWEEN,
    LIKE_ENOUGH,
    MOST_WORDS,
    Folded,
    tidy_words,
)
from plant.words import KIND_WORDS, RUN_WORDS

# Below three letters every word is like every other.
_SHORTEST_GUESS = 3
# C12, BR-7: a set of a numbered group. More digits than any group has sets are no number.
_SET = re.compile(r"^(.*?)(\d{1,6})$")
# Rows whose words are looked through for slips, which is done in Python; engineering judgement.
_MOST_KNOWN = 3000
_MOST_SLIPS = 2
_VERY_NAME, _BEGINS, _HOLDS = range(3)


@dataclass(frozen=True)
class FoundPart:
    """`key` is the component's or the belt's; `at_m` along the loop or along the belt."""

    sort: str
    key: int
    name: str
    what: str
    note: str
    plant_code: str
    plant_name: str
    tag: str
    conveyor_name: str
    run: str
    at_m: Decimal | None
    to_m: Decimal | None
    is_gone: bool

    @property
    def is_component(self) -> bool:
        return self.sort == "component"

    @property
    def run_words(self) -> str:
        return str({one.value: words for one, words in RUN_WORDS.items()}.get(self.run, ""))


_COLUMNS = tuple(FoundPart.__dataclass_fields__)


def page_of_parts(
    plants: QuerySet[Plant], words: str, number: str | None, rows: int
) -> Page[FoundPart]:
    """The best first; six queries at most, however many are found."""
    asked = tidy_words(words).split()[:MOST_WORDS]
    page = _found(plants, asked, rows).get_page(number)
    page.object_list = [
        FoundPart(**{name: row[f"the_{name}"] for name in _COLUMNS}) for row in page.object_list
    ]
    return page


def _found(plants: QuerySet[Plant], asked: list[str], rows: int) -> "Paginator[Any]":
    """What holds the words; else what is like them; else what holds them with slips mended."""
    found: Paginator[Any] = Paginator(_matching(plants, asked, False) if asked else [], rows)
    if asked and not found.count:
        found = Paginator(_matching(plants, asked, True), rows)
    if asked and not found.count:
        mended = _mended(plants, asked)
        found = Paginator(_matching(plants, mended, False) if mended else [], rows)
    return found


def _mended(plants: QuerySet[Plant], asked: list[str]) -> list[str]:
    """The known words that were meant; none where one of them is like no known word."""
    parts = access.of_plants(Component.objects.all(), plants).order_by()
    said = parts.values_list("name", "note", "conveyor__tag").distinct()[:_MOST_KNOWN]
    kinds = [str(words) for words in KIND_WORDS.values()]
    texts = {text for row in said for text in row} | set(kinds)
    known = sorted({word for text in texts for word in slips.plain_words(text)})
    meant = [_nearest(word, known) for word in slips.plain_words(" ".join(asked))]
    return [] if None in meant else [word for word in meant if word]


def _nearest(word: str, known: list[str]) -> str | None:
    # Two slips change the length by two at most.
    counted = (
        (count, one)
        for one in known
        if abs(len(one) - len(word)) <= _MOST_SLIPS
        and (count := slips.slips_between([word], [one])) is not None
    )
    return min(counted, default=(0, None))[1]


def _matching(plants: QuerySet[Plant], asked: list[str], is_guess: bool) -> QuerySet[Any]:
    sources = [_components(), _belts(), _splices(), _marks()]
    found = [
        _that_hold(access.of_plants(rows, plants), words, asked, is_guess=is_guess)
        for rows, words in sources
    ]
    names = ["rank", "likeness", *(f"the_{name}" for name in _COLUMNS)]
    first, *others = [rows.order_by().values(*names) for rows in found]
    union = first.union(*others, all=True)
    return union.order_by("rank", "-likeness", "the_tag", "the_sort", "the_at_m", "the_key")


def _that_hold(
    rows: QuerySet[Any], own: list[Any], asked: list[str], *, is_guess: bool
) -> QuerySet[Any]:
    own_words, all_words = _joined(own), _joined([*own, F("the_tag"), F("the_conveyor_name")])
    rows = rows.annotate(own_words=Folded(own_words), all_words=Folded(all_words))
    likeness: Any = Value(0.0, FloatField())
    holds, of_its_own = Q(), Q()
    for number, word in enumerate(asked):
        folded = Folded(Value(word))
        here, in_all = Q(own_words__contains=folded), Q(all_words__contains=folded)
        if rows.model is Component:
            is_set = _set_named(word)
            here, in_all = here | is_set, in_all | is_set
        if is_guess and len(word) >= _SHORTEST_GUESS:
            like = {f"like_{number}": _likeness(folded, "all_words")}
            own_like = {f"own_{number}": _likeness(folded, "own_words")}
            rows = rows.annotate(**like, **own_like)
            likeness = likeness + F(f"own_{number}")
            here |= Q(**{f"own_{number}__gte": LIKE_ENOUGH})
            in_all |= Q(**{f"like_{number}__gte": LIKE_ENOUGH})
        holds, of_its_own = holds & in_all, of_its_own | here
    return rows.filter(holds & of_its_own).annotate(
        rank=_rank(rows.model, asked), likeness=Cast(likeness, FloatField())
    )


def _rank(model: type[Model], asked: list[str]) -> Case:
    """The very name, what begins so, the rest."""
    whole = Folded(Value(" ".join(asked)))
    edge = Value(BETWEEN)
    very, begins = (
        Q(own_words__contains=Concat(edge, whole, *end, output_field=TextField()))
        for end in ((edge,), ())
    )
    if model is Component and len(asked) == 1:
        very |= _set_named(asked[0])
    return Case(
        When(very, then=_VERY_NAME),
        When(begins, then=_BEGINS),
        default=_HOLDS,
        output_field=IntegerField(),
    )


def _likeness(folded: Folded, column: str) -> Any:
    # The stubs know only plain text as the first argument.
    return TrigramWordSimilarity(folded, F(column))  # type: ignore[arg-type]


def _set_named(word: str) -> Q:
    """Numbered groups that have a set of this name."""
    found = _SET.match(word)
    if found is None:
        return Q(pk__in=[])
    prefix, number = found[1], int(found[2])
    called = Q(set_prefix__iexact=prefix) | Q(set_prefix="", name__iexact=prefix)
    within = Q(first_number__lte=number, count__gt=Value(number) - F("first_number"))
    return Q(is_numbered=True) & called & within


def _joined(words: list[Any]) -> Concat:
    edge = Value(BETWEEN)
    between = [part for one in words for part in (one, edge)]
    return Concat(edge, *between, output_field=TextField())


def _components() -> tuple[QuerySet[Any], list[Any]]:
    kinds = Case(
        *(When(kind=kind.value, then=Value(str(words))) for kind, words in KIND_WORDS.items()),
        default=Value(""),
        output_field=TextField(),
    )
    rows = _placed(
        Component, "conveyor", "component", F("pk"), F("name"), F("note"), F("first_m"), what=kinds
    )
    rows = rows.annotate(
        the_run=Cast(F("run"), TextField()), the_to_m=Cast(F("last_m"), _METRES), **_NOT_GONE
    )
    return rows, [F("the_name"), F("the_what"), F("the_note")]


def _belts() -> tuple[QuerySet[Any], list[Any]]:
    rows = _placed(
        Belt, "conveyor", "belt", F("pk"), F("name"), Value(""), None, what=Value(_("belt"))
    )
    rows = rows.annotate(**_NO_RUN, the_is_gone=_is_off("removed_on"))
    return rows, [F("the_name"), F("the_what")]


def _splices() -> tuple[QuerySet[Any], list[Any]]:
    return _on_belt(Splice, "splice", F("name"), Value(_("splice")))


def _marks() -> tuple[QuerySet[Any], list[Any]]:
    kinds = Case(
        *(When(kind=kind.value, then=Value(str(kind.label))) for kind in BeltMark.Kind),
        default=Value(""),
        output_field=TextField(),
    )
    return _on_belt(BeltMark, "mark", Value(""), kinds)


def _on_belt(
    model: type[Model], sort: str, name: Any, what: Any
) -> tuple[QuerySet[Any], list[Any]]:
    rows = _placed(
        model,
        "belt__conveyor",
        sort,
        F("belt_id"),
        name,
        F("note"),
        F("belt_position_m"),
        what=what,
    )
    rows = rows.annotate(**_NO_RUN, the_is_gone=_is_off("belt__removed_on"))
    return rows, [F("the_name"), F("the_what"), F("the_note")]


_METRES = DecimalField(max_digits=14, decimal_places=3)
_NOT_GONE = {"the_is_gone": Value(False, BooleanField())}
_NO_RUN = {"the_run": Value("", TextField()), "the_to_m": Cast(Value(None), _METRES)}


def _is_off(field: str) -> Case:
    on = When(**{f"{field}__isnull": True}, then=Value(False))
    return Case(on, default=Value(True), output_field=BooleanField())


def _placed(
    model: type[Model],
    way: str,
    sort: str,
    key: Any,
    name: Any,
    note: Any,
    at_m: Any,
    *,
    what: Any,
) -> QuerySet[Any]:
    """Rows with the columns that all kinds of find share, each of one type."""
    texts: dict[str, Any] = {
        "sort": Value(sort),
        "name": name,
        "what": what,
        "note": note,
        "plant_code": F(f"{way}__plant__code"),
        "plant_name": F(f"{way}__plant__name"),
        "tag": F(f"{way}__tag"),
        "conveyor_name": F(f"{way}__name"),
    }
    placed: dict[str, Any] = {
        f"the_{one}": Cast(value, TextField()) for one, value in texts.items()
    }
    placed["the_key"] = Cast(key, BigIntegerField())
    placed["the_at_m"] = Cast(Value(None) if at_m is None else at_m, _METRES)
    return model._default_manager.annotate(**placed)
