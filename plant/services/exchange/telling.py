"""Changes in the words of the system that reads the files."""

from typing import Any

import orjson

from plant.exchange import columns
from plant.models import ConnectedSystem, Feed
from plant.models.feed_triggers import TOLD
from plant.selectors import feed_entries, wordings
from plant.wording.refusals import Missed


class Telling:
    """Without words of its own everything goes out as it was kept, without being read.

    `missed` are the words that had no answer and went out as ours.
    """

    def __init__(self, system: ConnectedSystem | None) -> None:
        self._wording = wordings.wording_of(system)
        self.missed: set[Missed] = set()

    def told(self, change: dict[str, Any]) -> dict[str, Any]:
        """Raises WordRefused where the system takes nothing without a word."""
        if self._wording is None:
            return change
        read = {**change, "record": record_of(change)}
        if change["kind"] != feed_entries.STANDING:
            return self._wording.change_to_theirs(read, self.missed)
        record = self._wording.to_theirs(change["of"], read["record"], self.missed)
        return {**read, "record": record}

    def columns(self, feed: Feed, ways: tuple[str, ...]) -> columns.Columns:
        """The feed's fixed columns under the system's names, then the fields it gets besides."""
        if self._wording is None:
            return columns.Columns(ways)
        of_kinds = [self._wording.fields.get(told.of) for _model, told in TOLD[feed]]
        fields = [one for one in of_kinds if one is not None]
        # A feed of several kinds of rows has one header: the first that renames a field names it.
        renamed = {ours: its for one in reversed(fields) for ours, its in one.renamed.items()}
        further = [name for one in fields for name in (*one.copies, *one.constants)]
        by_kind = {
            told.of: self._wording.fields[told.of].renamed
            for _model, told in TOLD[feed]
            if told.of in self._wording.fields
        }
        return columns.Columns(ways, renamed, by_kind, tuple(dict.fromkeys(further)))


def record_of(change: dict[str, Any]) -> Any:
    record = change["record"]
    return orjson.loads(orjson.dumps(record)) if isinstance(record, orjson.Fragment) else record
