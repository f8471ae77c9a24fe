"""What people say and write, drawn out of banks so that it seldom sounds alike; pure."""

import re
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from numpy.random import Generator

# Phrases of one kind rest so many calls before they are used again, as far as the bank allows.
RESTS = 9


@dataclass
class Talk:
    """The banks of one plant; remembers what was said lately."""

    bank: Mapping[str, Any]
    _lately: dict[str, deque[str]] = field(default_factory=dict)

    def complaint(
        self,
        rng: Generator,
        *,
        about: str,
        how_bad: str,
        belt: str,
        side: str,
        other: str,
        comes_back: bool = False,
    ) -> str:
        """What a caller says about a belt; `comes_back` when it happened before."""
        kind = "plain" if rng.random() < 0.1 else about
        seen = (
            self._fresh(rng, "again", self.bank["again"])
            if comes_back and rng.random() < 0.6
            else self._fresh(rng, kind, self.bank["seen"][kind])
        )
        said = seen.format(belt=belt, side=side, other=other)
        if rng.random() < 0.4:
            opener = self._fresh(rng, "openers", self.bank["openers"]).format(belt=f"the {belt}")
            said = f"{opener} {said}".replace("the the ", "the ")
        if rng.random() < 0.7:
            joint = ("; ", ", ", " - ", ". ")[rng.integers(4)]
            effect = self._fresh(rng, how_bad, self.bank["consequences"][how_bad])
            said += joint + (_capital(effect) if joint == ". " else effect)
        said = _capital(said)
        if rng.random() < 0.45:
            said += ". " + self._fresh(rng, "asides", self.bank["asides"])
        return said

    def note(self, rng: Generator, about: str) -> str:
        """What somebody writes beside their work; may be nothing."""
        return self._fresh(rng, about, self.bank["notes"][about])

    def caller(self, rng: Generator) -> Mapping[str, str]:
        callers: Sequence[Mapping[str, str]] = self.bank["callers"]
        return callers[int(rng.integers(len(callers)))]

    def unsure(self, rng: Generator) -> str:
        return self._fresh(rng, "unsure", self.bank["unsure"])

    def withdrawal(self, rng: Generator) -> str:
        return self._fresh(rng, "withdrawn", self.bank["withdrawn"])

    def obstacle(self, rng: Generator) -> str:
        return self._fresh(rng, "not_seen", self.bank["not_seen"])

    def _fresh(self, rng: Generator, kind: str, phrases: Sequence[str]) -> str:
        most = min(RESTS, len(set(phrases)) - 1)
        lately = self._lately.setdefault(kind, deque(maxlen=most))
        choice = [phrase for phrase in phrases if phrase not in lately]
        phrase = choice[int(rng.integers(len(choice)))]
        lately.append(phrase)
        return phrase


def heard(bank: Any, unheard: Sequence[str]) -> Any:
    """A bank without the phrases in which a word begins like an unheard one."""
    if isinstance(bank, Mapping):
        return {key: heard(value, unheard) for key, value in bank.items()}
    if not isinstance(bank, list):
        return bank
    if not unheard:
        return bank
    begins_with = re.compile(rf"\b({'|'.join(map(re.escape, unheard))})", re.IGNORECASE)
    return [one for one in bank if not begins_with.search(str(one))]


def spoken_name(nicknames: Sequence[str], rng: Generator) -> str:
    """One of the nicknames as it stands in a sentence: number ten, the tunnel."""
    name = nicknames[int(rng.integers(len(nicknames)))]
    return name if name.startswith(("the ", "number ")) else f"the {name}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
