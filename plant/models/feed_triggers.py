"""Whoever writes a row that outside systems follow, and however, leaves a change for the feeds.

Once a statement, in its transaction: nobody can forget it, and what is rolled back was never
there. The record is made from the serializer of the API, the one owner of the wire form, when the
migration is made (plant/api/wire_sql.py); a serializer that changed asks for a new migration.
"""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import pgtrigger
from django.db import models
from django.utils.module_loading import import_string

from plant.models.belt import Belt, BeltMark, Splice
from plant.models.component import Component
from plant.models.conveyor import Conveyor
from plant.models.feed import ChangeKind, Feed
from plant.models.roll_change import RollChange

_Model = TypeVar("_Model", bound=type[models.Model])

_WRITE = """
INSERT INTO plant_feedarrival
    (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction)
SELECT '{feed}', '{of}', one.id, one.{key}::text, {plant}, {kind}, clock_timestamp(),
    left(COALESCE(acting.told ->> 'name', ''), 150), COALESCE(acting.told ->> 'key', ''),
    row_to_json(record)::text, pg_current_xact_id()::text::bigint
FROM {rows} AS one {joins}
CROSS JOIN LATERAL (SELECT {columns}) AS record
CROSS JOIN (
    SELECT NULLIF(current_setting('pghistory.context_metadata', true), '')::jsonb AS told
) AS acting
{where}
ORDER BY one.id;
RETURN NULL;
"""
_NEW, _OLD = "feed_new_rows", "feed_old_rows"
_TO_BEFORE = f"JOIN {_OLD} AS was ON was.id = one.id"


class FeedTrigger(pgtrigger.Trigger):
    """`serializer` is named, not imported: it stands above, and only migrations need it."""

    level = pgtrigger.Statement
    when = pgtrigger.After

    def __init__(self, kind: ChangeKind, told: "Told") -> None:
        operation, referencing = _STATEMENTS[kind]
        super().__init__(name=f"feed_{kind.value}", operation=operation, referencing=referencing)
        self._kind = kind
        self._told = told

    def get_func(self, model: Any) -> str:
        told, is_change = self._told, self._kind is ChangeKind.CHANGED
        wire = import_string("plant.api.wire_sql.wire_sql")(
            model, import_string(told.serializer), told.plant
        )
        news = sorted(set(wire.own_columns) - told.no_news)
        written = _WRITE.format(
            feed=told.feed.value,
            of=told.of,
            key=told.key,
            plant=wire.plant,
            kind=told.kind_of_change() if is_change else f"'{self._kind.value}'",
            rows=_OLD if self._kind is ChangeKind.REMOVED else _NEW,
            joins=f"{_TO_BEFORE if is_change else ''} {wire.joins}",
            columns=wire.columns,
            where=f"WHERE ({_of('one', news)}) IS DISTINCT FROM ({_of('was', news)})"
            if is_change
            else "",
        )
        return " ".join(written.split())


class Told:
    """How the rows of a model are told in a feed.

    `plant` leads to the row's plant, `no_news` are columns whose change alone is none; `merged`
    is the column that names the row in which this one went on.
    """

    def __init__(
        self,
        feed: Feed,
        of: str,
        serializer: str,
        *,
        key: str = "id",
        plant: str = "conveyor.plant",
        merged: str = "",
        no_news: Iterable[str] = (),
    ) -> None:
        self.feed, self.of, self.serializer = feed, of, serializer
        self.key, self.plant, self.merged = key, plant, merged
        self.no_news = frozenset(no_news)

    def kind_of_change(self) -> str:
        changed, merged = ChangeKind.CHANGED.value, ChangeKind.MERGED.value
        if not self.merged:
            return f"'{changed}'"
        return (
            f"CASE WHEN one.{self.merged} IS DISTINCT FROM was.{self.merged} "
            f"AND one.{self.merged} IS NOT NULL THEN '{merged}' ELSE '{changed}' END"
        )


# Which tables make up a feed, for whoever has to tell all that stands.
TOLD: dict[Feed, list[tuple[type[models.Model], Told]]] = {feed: [] for feed in Feed}


def told_in_feed(told: Told) -> Callable[[_Model], _Model]:
    """For a model: each row added, changed or removed is told."""
    kinds = (ChangeKind.ADDED, ChangeKind.CHANGED, ChangeKind.REMOVED)
    register = pgtrigger.register(*(FeedTrigger(kind, told) for kind in kinds))

    def told_from_now_on(model: _Model) -> _Model:
        TOLD[told.feed].append((model, told))
        marked: _Model = register(model)
        return marked

    return told_from_now_on


def _of(row: str, columns: Iterable[str]) -> str:
    return ", ".join(f"{row}.{column}" for column in columns)


# Only one operation may look at the rows of its statement, hence a trigger each.
_STATEMENTS = {
    ChangeKind.ADDED: (pgtrigger.Insert, pgtrigger.Referencing(new=_NEW)),
    ChangeKind.CHANGED: (pgtrigger.Update, pgtrigger.Referencing(old=_OLD, new=_NEW)),
    ChangeKind.REMOVED: (pgtrigger.Delete, pgtrigger.Referencing(old=_OLD)),
}

_IN = "plant.api.register_records."
# A conveyor is touched with each of its components, which tell their change themselves.
told_in_feed(
    Told(
        Feed.REGISTER,
        "conveyor",
        f"{_IN}ConveyorRecord",
        plant="plant",
        no_news=("version", "changed_at"),
    )
)(Conveyor)
told_in_feed(Told(Feed.REGISTER, "component", f"{_IN}ComponentRecord", no_news=("version",)))(
    Component
)
told_in_feed(Told(Feed.REGISTER, "belt", f"{_IN}BeltRecord", no_news=("version",)))(Belt)
_DETAILS = "plant.api.register_details."
_OF_THE_BELT = "belt.conveyor.plant"
told_in_feed(Told(Feed.REGISTER, "splice", f"{_DETAILS}SpliceRecord", plant=_OF_THE_BELT))(Splice)
told_in_feed(Told(Feed.REGISTER, "mark", f"{_DETAILS}MarkRecord", plant=_OF_THE_BELT))(BeltMark)
told_in_feed(Told(Feed.REGISTER, "roll_change", f"{_DETAILS}RollChangeRecord"))(RollChange)
