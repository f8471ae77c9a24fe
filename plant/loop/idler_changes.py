"""What is done to the idler sets of a conveyor, and what takes it back.

Every change takes the sets as they stand and gives them as they will stand; sets that it does not
speak of keep their places. A series is all sets that are numbered on under one prefix, in however
many rows of the register.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from plant.loop.idler_sets import CannotChange, GroupRow, IdlerSet, Regrouping, regroup, sets_of
from plant.loop.vocabulary import CARRYING_ONLY, IDLERS, RETURN_ONLY, ComponentKind, Run

MOST_NUMBER = 99_999


@dataclass(frozen=True)
class TakeOut:
    """The set of this name; those behind it in its series close up their numbers if asked."""

    name: str
    is_renumbered: bool = False


@dataclass(frozen=True)
class PutIn:
    """A new set beside those of a series.

    `name` may be a free number of the series (`C20`); any other name is its own. With
    `is_renumbered` it takes the number behind the set before it, or the number said in `name`,
    and those from that number on count one up.
    """

    series: str
    at_mm: int
    name: str = ""
    is_renumbered: bool = False
    kind: ComponentKind | None = None
    fitted_on: date | None = None
    note: str = ""


@dataclass(frozen=True)
class Shift:
    """A whole series, or its sets from a number on, in the direction of travel (+) or against it.

    Where nothing is numbered under that name, the row or set of that name as a whole.
    """

    series: str
    by_mm: int
    from_number: int | None = None


@dataclass(frozen=True)
class Renumber:
    """The sets of a series from a number on get numbers from another one on."""

    series: str
    from_number: int
    to_number: int


Change = TakeOut | PutIn | Shift | Renumber


@dataclass(frozen=True)
class Outcome:
    """Sets before and after, the rows that hold them, and the change that takes it back.

    No change does where the last set of a series went: it is a new component then.
    """

    before: tuple[IdlerSet, ...]
    after: tuple[IdlerSet, ...]
    regrouping: Regrouping
    reverse: Change | None


def carry_out(rows: Sequence[GroupRow], change: Change) -> Outcome:
    """Work a change on the idler rows of a conveyor; rows of other kinds are left out.

    Raises
    ------
    CannotChange
        No such set or series, a name or number given twice, sets in one place or past another.
    """
    idlers = [row for row in rows if row.part.is_idler]
    before = tuple(sets_of(idlers))
    changed, reverse = _changed(before, change)
    after = tuple(sorted(changed, key=lambda one: one.at_mm))
    _check_order(before, after)
    _check_names(after)
    return Outcome(before, after, regroup(after, rows), reverse)


def _changed(sets: tuple[IdlerSet, ...], change: Change) -> tuple[list[IdlerSet], Change | None]:
    match change:
        case TakeOut():
            return _take_out(sets, change)
        case PutIn():
            return _put_in(sets, change)
        case Shift():
            return _shift(sets, change)
        case Renumber():
            return _renumber(sets, change)


def _take_out(sets: tuple[IdlerSet, ...], change: TakeOut) -> tuple[list[IdlerSet], Change | None]:
    gone = _named(sets, change.name)
    if gone is None:
        raise CannotChange("no_such_set", "name", name=change.name)
    if gone.number is None and sum(one.key == gone.key for one in sets) > 1:
        raise CannotChange("not_numbered", "name", name=gone.prefix)
    left = [one for one in sets if one is not gone]
    if change.is_renumbered and gone.number is not None:
        left = _counted_on(left, gone.prefix, gone.number, -1)
    series = gone.prefix
    if gone.number is None:
        # A set with a name of its own stood beside others; any of them tells what it was like.
        series = next((one.prefix for one in _nearest(left, gone) if one.number is not None), "")
    if not any(one.is_of(series) for one in left):
        return left, None
    back = PutIn(
        series=series,
        at_mm=gone.at_mm,
        name=gone.name,
        is_renumbered=change.is_renumbered and gone.number is not None,
        kind=gone.kind,
        fitted_on=gone.like.fitted_on,
        note=gone.like.note,
    )
    return left, back


def _put_in(sets: tuple[IdlerSet, ...], change: PutIn) -> tuple[list[IdlerSet], Change]:
    series = _series(sets, change.series)
    kind = change.kind or min(series, key=lambda one: abs(one.at_mm - change.at_mm)).kind
    model = _model(series, change.at_mm, kind)
    if kind not in IDLERS:
        raise CannotChange("no_idler", "kind")
    if not _may_stand(kind, model.run):
        raise CannotChange("wrong_run", "kind", run=model.run.value)
    if change.at_mm < 0:
        raise CannotChange("before_the_loop", "at_m")
    standing = next((one for one in sets if one.at_mm == change.at_mm), None)
    if standing:
        raise CannotChange("place_taken", "at_m", name=standing.name, at=standing.at_m)
    number = _number_for(series, change)
    others = list(sets)
    if change.is_renumbered:
        others = _counted_on(others, model.prefix, number or 0, 1)
    like = replace(
        model.like,
        part=replace(model.like.part, kind=kind),
        fitted_on=change.fitted_on,
        note=change.note,
    )
    new = IdlerSet(
        at_mm=change.at_mm,
        prefix=model.prefix if number is not None else change.name.strip(),
        number=number,
        spacing_mm=_share_mm(sets, change.at_mm, model),
        like=like,
    )
    return [*others, new], TakeOut(new.name, change.is_renumbered)


def _number_for(series: list[IdlerSet], change: PutIn) -> int | None:
    """The number of a new set; None when it goes by a name of its own."""
    below = [one.number or 0 for one in series if one.at_mm < change.at_mm]
    above = [one.number or 0 for one in series if one.at_mm > change.at_mm]
    said = _number_said(change.name.strip(), series[0].prefix)
    if change.is_renumbered:
        usual = max(below) + 1 if below else min(above)
        number = usual if said is None else said
        if change.name.strip() and said is None:
            raise CannotChange("name_with_numbers", "name", prefix=series[0].prefix)
        if below and number <= max(below):
            raise CannotChange("number_out_of_order", "name", number=number)
        return number
    if not change.name.strip():
        raise CannotChange("name_needed", "name")
    fits = said is not None and max(below, default=0) < said < min(above, default=MOST_NUMBER + 1)
    return said if fits else None


def _number_said(name: str, prefix: str) -> int | None:
    rest = name[len(prefix) :]
    if not name.casefold().startswith(prefix.casefold()) or not rest.isascii():
        return None
    if not rest.isdigit() or rest.startswith("0") or len(rest) > len(str(MOST_NUMBER)):
        return None
    return int(rest)


def _share_mm(sets: tuple[IdlerSet, ...], at_mm: int, model: IdlerSet) -> int | None:
    """Its group's spacing where it fills a gap of it, else half of what lies on both sides."""
    on_run = [one.at_mm for one in sets if one.run is model.run]
    below = [at_mm - one for one in on_run if one < at_mm]
    above = [one - at_mm for one in on_run if one > at_mm]
    gaps = [*([min(below)] if below else []), *([min(above)] if above else [])]
    if model.spacing_mm is None or model.spacing_mm in gaps:
        return model.spacing_mm
    return min(model.spacing_mm, round(sum(gaps) / len(gaps)))


def _shift(sets: tuple[IdlerSet, ...], change: Shift) -> tuple[list[IdlerSet], Change]:
    if change.by_mm == 0:
        raise CannotChange("no_way", "by_m")
    moving = {id(one) for one in _shifted(sets, change)}
    after = [
        replace(one, at_mm=one.at_mm + change.by_mm) if id(one) in moving else one for one in sets
    ]
    if any(one.at_mm < 0 for one in after):
        raise CannotChange("before_the_loop", "by_m")
    return after, replace(change, by_mm=-change.by_mm)


def _shifted(sets: tuple[IdlerSet, ...], change: Shift) -> list[IdlerSet]:
    if change.from_number is None and not any(one.is_of(change.series) for one in sets):
        wanted = change.series.strip().casefold()
        found = [one for one in sets if one.number is None and one.prefix.casefold() == wanted]
        if found:
            return found
    series = _series(sets, change.series)
    if change.from_number is None:
        return series
    found = [one for one in series if (one.number or 0) >= change.from_number]
    if not found:
        raise CannotChange("no_such_number", "from_number", number=change.from_number)
    return found


def _renumber(sets: tuple[IdlerSet, ...], change: Renumber) -> tuple[list[IdlerSet], Change]:
    series = _series(sets, change.series)
    numbers = [one.number or 0 for one in series]
    if change.from_number not in numbers:
        raise CannotChange("no_such_number", "from_number", number=change.from_number)
    below = [number for number in numbers if number < change.from_number]
    least = max(below, default=0) + 1
    if change.to_number < least:
        raise CannotChange("number_taken", "to_number", least=least)
    by = change.to_number - change.from_number
    if by == 0:
        raise CannotChange("no_way", "to_number")
    after = _counted_on(list(sets), series[0].prefix, change.from_number, by)
    return after, Renumber(change.series, change.to_number, change.from_number)


def _series(sets: Sequence[IdlerSet], prefix: str) -> list[IdlerSet]:
    found = [one for one in sets if one.is_of(prefix.strip())]
    if not found:
        raise CannotChange("no_such_series", "series", name=prefix.strip())
    return found


def _named(sets: Sequence[IdlerSet], name: str) -> IdlerSet | None:
    wanted = name.strip().casefold()
    return next((one for one in sets if one.name.casefold() == wanted), None)


def _nearest(sets: Sequence[IdlerSet], to: IdlerSet) -> list[IdlerSet]:
    return sorted(
        (one for one in sets if one.run is to.run), key=lambda one: abs(one.at_mm - to.at_mm)
    )


def _model(series: list[IdlerSet], at_mm: int, kind: ComponentKind) -> IdlerSet:
    """The set that a new one is made like: the nearest of its kind, else the nearest."""
    return min(series, key=lambda one: (one.kind is not kind, abs(one.at_mm - at_mm)))


def _may_stand(kind: ComponentKind, run: Run) -> bool:
    return kind not in (RETURN_ONLY if run is Run.CARRYING else CARRYING_ONLY)


def _counted_on(sets: list[IdlerSet], prefix: str, number: int, by: int) -> list[IdlerSet]:
    after = [
        replace(one, number=(one.number or 0) + by)
        if one.is_of(prefix) and (one.number or 0) >= number
        else one
        for one in sets
    ]
    if any((one.number or 0) > MOST_NUMBER for one in after):
        raise CannotChange("number_too_large", None, most=MOST_NUMBER)
    return after


def _check_order(before: Sequence[IdlerSet], after: Sequence[IdlerSet]) -> None:
    """Refuse sets pushed into or past each other: nobody lifts them over by a figure."""
    places: dict[int, IdlerSet] = {}
    for one in after:
        if one.at_mm in places:
            raise CannotChange("same_place", None, one=places[one.at_mm].name, other=one.name)
        places[one.at_mm] = one
    ranks = {(one.key, one.place): rank for rank, one in enumerate(before)}
    last: IdlerSet | None = None
    for one in after:
        if one.key is None:
            continue
        if last and ranks[one.key, one.place] < ranks[last.key, last.place]:
            raise CannotChange("past_another", None, one=one.name, other=last.name)
        last = one


def _check_names(after: Sequence[IdlerSet]) -> None:
    seen: dict[str, int | None] = {}
    for one in after:
        name = one.name.casefold()
        # A group without numbers goes by one name.
        if name in seen and (one.number is not None or one.key is None or seen[name] != one.key):
            raise CannotChange("name_taken", "name", name=one.name)
        seen[name] = one.key
