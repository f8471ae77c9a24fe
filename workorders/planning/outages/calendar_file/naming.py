"""Which conveyors an event speaks of, by the tags that stand in its words."""

import re
from collections.abc import Iterable


class TagFinder:
    """Finds tags as words of their own: Q30 in `Q30/Q31 relining`, not in `Q301`."""

    def __init__(self, tags: Iterable[str]) -> None:
        self._by_letters = {tag.casefold(): tag for tag in tags}
        # The longest first, so that C1-2 is not read as C1.
        either = "|".join(map(re.escape, sorted(self._by_letters, key=len, reverse=True)))
        self._pattern = re.compile(rf"(?<![^\W_])(?:{either})(?![^\W_])") if either else None

    def tags_in(self, texts: Iterable[str]) -> frozenset[str]:
        if self._pattern is None:
            return frozenset()
        return frozenset(
            self._by_letters[found]
            for text in texts
            for found in self._pattern.findall(text.casefold())
        )
