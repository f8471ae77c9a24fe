"""Which idler sets somebody means who types `12, 14, 17-19` or `C20, R1-R5`."""

import re
from collections.abc import Iterable, Sequence

from plant.loop.idler_sets import IdlerSet

MOST_LETTERS = 400

_BETWEEN = re.compile(r"[,;\n]+")
_TO = re.compile(r"\s*(?:-|–|—|…|\bto\b)\s*")
_NUMBERED = re.compile(r"(?P<prefix>.*?)\s*(?P<number>[0-9]{1,5})")
# Numbers and what may stand around them, where no set is called so.
_LIKE_SETS = re.compile(r"[^0-9]*[0-9]+(?:[^0-9]+[0-9]+)?", re.ASCII)


class CannotChoose(ValueError):
    """What was typed means no sets; `said` is the part of it that does not."""

    def __init__(self, code: str, said: str = "") -> None:
        super().__init__(f"{code}: {said}" if said else code)
        self.code, self.said = code, said


def choose_sets(typed: str, sets: Sequence[IdlerSet], series: str = "") -> list[IdlerSet]:
    """The sets that are meant, each once, in the order in which the belt meets them.

    Parameters
    ----------
    typed : str
        Numbers, names and ranges between commas; the name of a series alone means all of it.
    sets : sequence of IdlerSet
        Every set of the conveyor, in the order in which the belt meets them.
    series : str
        What stands before a number that is typed alone; `all` means all of this one.

    Raises
    ------
    CannotChoose
        `empty`, `too_long`, `not_understood`, `no_such_set`, `backwards`; `said` is what was typed.
    """
    if len(typed) > MOST_LETTERS:
        raise CannotChoose("too_long")
    said = [part.strip() for part in _BETWEEN.split(typed) if part.strip()]
    if not said:
        raise CannotChoose("empty")
    index = _Index(sets)
    chosen = {id(one) for part in said for one in index.meant(part, series)}
    return [one for one in sets if id(one) in chosen]


class _Index:
    """Sets by name, by series and by number; a group without numbers is counted from 1 on."""

    def __init__(self, sets: Iterable[IdlerSet]) -> None:
        self._named: dict[str, list[IdlerSet]] = {}
        self._series: dict[str, dict[int, IdlerSet]] = {}
        for one in sets:
            self._named.setdefault(one.name.casefold(), []).append(one)
            self._series.setdefault(one.prefix.casefold(), {})[_number(one)] = one

    def meant(self, said: str, series: str) -> list[IdlerSet]:
        plain = said.casefold()
        if plain == "all" and series:
            return self._whole(series, said)
        # A name comes first: sets may be called C2-5.
        if plain in self._named:
            return self._named[plain]
        if plain in self._series:
            return self._whole(plain, said)
        one = self._one(said, series)
        if one is not None:
            return [one]
        # Names may hold strokes themselves: the first one that parts two sets is meant.
        for stroke in _TO.finditer(said):
            first = self._one(said[: stroke.start()], series)
            last = self._one(said[stroke.end() :], first.prefix if first else "")
            if first and last and first.prefix == last.prefix:
                return self._between(first, last, said)
        code = "no_such_set" if _LIKE_SETS.fullmatch(said) else "not_understood"
        raise CannotChoose(code, said)

    def _whole(self, series: str, said: str) -> list[IdlerSet]:
        if series.casefold() not in self._series:
            raise CannotChoose("no_such_set", said)
        return list(self._series[series.casefold()].values())

    def _one(self, said: str, series: str) -> IdlerSet | None:
        named = self._named.get(said.casefold(), [])
        if len(named) == 1:
            return named[0]
        found = _NUMBERED.fullmatch(said)
        if found is None:
            return None
        prefix = found["prefix"] or series
        return self._series.get(prefix.casefold(), {}).get(int(found["number"]))

    def _between(self, first: IdlerSet, last: IdlerSet, said: str) -> list[IdlerSet]:
        # Both ends must stand: whoever mistypes one would else change other rolls unawares.
        if _number(last) < _number(first):
            raise CannotChoose("backwards", said)
        wanted = range(_number(first), _number(last) + 1)
        numbers = self._series[first.prefix.casefold()]
        return [one for number, one in numbers.items() if number in wanted]


def _number(one: IdlerSet) -> int:
    """Of a group without numbers the place, counted from 1 on."""
    return one.place if one.number is None else one.number
