"""Finding a conveyor by whatever a caller calls it: tag, name or nickname, typing errors forgiven.

Case, accents and the dashes of a tag do not matter. A plant has hundreds of conveyors, not
millions, so every row is weighed.
"""

from typing import Any

from django.contrib.postgres.search import TrigramWordSimilarity
from django.db.models import Case, F, Func, IntegerField, Q, QuerySet, TextField, Value, When
from django.db.models.functions import Concat, Lower

from plant import access, slips
from plant.models import Conveyor, Plant

# How much of the words must be found in a name for a guess; engineering judgement: two letters
# that changed places in a word of eight leave 0.38.
LIKE_ENOUGH = 0.35
_LONGEST_QUESTION = 100
MOST_WORDS = 8
# Stands between the names of a conveyor, so that "begins with" is "contains |words".
BETWEEN = "|"


class Folded(Func):
    """Small letters without accents."""

    function = "unaccent"
    output_field = TextField()

    def __init__(self, expression: Any) -> None:
        super().__init__(Lower(expression))


class _Bare(Func):
    """Letters and digits only: CV-12, cv 12 and CV12 are one tag."""

    function = "regexp_replace"
    template = "%(function)s(%(expressions)s, '[^a-z0-9]', '', 'g')"
    output_field = TextField()

    def __init__(self, expression: Any) -> None:
        super().__init__(Folded(expression))


class _Nicknames(Func):
    function = "array_to_string"
    template = "%(function)s(%(expressions)s, '|')"
    output_field = TextField()


def find_conveyors(
    plants: QuerySet[Plant],
    words: str,
    limit: int = 12,
    *,
    also_retired: bool = False,
    also_notes: bool = False,
) -> list[Conveyor]:
    """Best first: the very tag, the very name, what begins so, what holds all words, what is like.

    `also_notes` looks at areas and notes too, after the names.

    No words, no answer: a list of everything is not a find.
    """
    asked = tidy_words(words)
    if not asked:
        return []
    all_rows = Conveyor.objects.all() if also_retired else Conveyor.objects.in_service()
    rows = access.of_plants(all_rows, plants).select_related("plant")
    return (
        list(_best_first(rows, asked, also_notes=also_notes)[:limit])
        or _with_slips(rows, asked)[:limit]
    )


def tidy_words(words: str) -> str:
    """The question without what cannot be in a name, and no longer than a name can be."""
    printable = "".join(letter if letter.isprintable() else " " for letter in words)
    return " ".join(printable.replace(BETWEEN, " ").split())[:_LONGEST_QUESTION].strip()


def _with_slips(rows: QuerySet[Conveyor], asked: str) -> list[Conveyor]:
    words = slips.plain_words(asked)[:MOST_WORDS]
    counted = (
        (slips.slips_between(words, [row.tag, row.name, *row.nicknames]), row)
        for row in rows.order_by("tag", "pk")
    )
    near = [(count, row) for count, row in counted if count is not None]
    return [row for _count, row in sorted(near, key=lambda one: one[0])]


_EXACT_TAG, _EXACT_NAME, _BEGINS, _ALL_WORDS, _IN_NOTE, _GUESS = range(6)


def _best_first(rows: QuerySet[Conveyor], asked: str, *, also_notes: bool) -> QuerySet[Conveyor]:
    edge = Value(BETWEEN)
    names = Concat(
        edge,
        F("tag"),
        edge,
        F("name"),
        edge,
        _Nicknames(F("nicknames")),
        edge,
        output_field=TextField(),
    )
    folded = Folded(Value(asked))
    every_word, in_note = Q(), Q()
    for word in asked.split()[:MOST_WORDS]:
        every_word &= Q(names__contains=Folded(Value(word)))
        in_note &= Q(all_said__contains=Folded(Value(word)))
    said = Concat(names, F("area"), edge, F("note"), output_field=TextField())
    named = rows.annotate(
        names=Folded(names),
        all_said=Folded(said if also_notes else names),
        bare_tag=_Bare(F("tag")),
        bare_asked=_Bare(Value(asked)),
    )
    weighed = named.annotate(
        # The stubs know only plain text as the first argument.
        likeness=TrigramWordSimilarity(folded, F("names")),  # type: ignore[arg-type]
        nearness=Case(
            When(Q(bare_tag=F("bare_asked")) & ~Q(bare_asked=""), then=_EXACT_TAG),
            When(
                names__contains=Concat(edge, folded, edge, output_field=TextField()),
                then=_EXACT_NAME,
            ),
            When(_begins(edge, folded), then=_BEGINS),
            When(every_word, then=_ALL_WORDS),
            When(in_note, then=_IN_NOTE),
            default=_GUESS,
            output_field=IntegerField(),
        ),
    )
    near = weighed.filter(Q(nearness__lt=_GUESS) | Q(likeness__gte=LIKE_ENOUGH))
    return near.order_by("nearness", "-likeness", "tag", "pk")


def _begins(edge: Value, folded: Folded) -> Q:
    of_tag = Q(bare_tag__startswith=F("bare_asked")) & ~Q(bare_asked="")
    return of_tag | Q(names__contains=Concat(edge, folded, output_field=TextField()))
