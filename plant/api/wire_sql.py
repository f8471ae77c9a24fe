"""The wire form of a row as SQL, read from its serializer: feeds tell rows as lists do.

The database makes the record in the transaction of the change, where no serializer is. A field
this does not know how to write is refused when the migration is made, not left out.
"""

from dataclasses import dataclass, field
from typing import Any

from django.db import models
from rest_framework import serializers
from rest_framework.fields import Field
from rest_framework.serializers import Serializer

from plant.api.times import UtcTime
from plant.api.words import TextOrNull, WireWord
from plant.models.feed import WIRE_TIME

_AS_IT_IS = (
    serializers.CharField,
    serializers.ChoiceField,
    serializers.IntegerField,
    serializers.BooleanField,
    serializers.ListField,
)
# The first that fits; a subclass stands before its class.
_WRITTEN: tuple[tuple[type[Field] | tuple[type[Field], ...], str], ...] = (
    (WireWord, "NULLIF(translate({}, ' -', '__'), '')"),
    (TextOrNull, "NULLIF({}, '')"),
    (UtcTime, WIRE_TIME),
    (serializers.DateField, "to_char({}, 'YYYY-MM-DD')"),
    (serializers.FloatField, "{}::float8"),
    (_AS_IT_IS, "{}"),
)


@dataclass
class WireSql:
    """`one` is the row; `joins` lead to the rows it names, `own_columns` are those it shows."""

    columns: str = ""
    plant: str = ""
    own_columns: list[str] = field(default_factory=list)
    _joins: dict[str, str] = field(default_factory=dict)

    @property
    def joins(self) -> str:
        return " ".join(self._joins.values())


def wire_sql(model: type[models.Model], serializer: type[Serializer[Any]], plant: str) -> WireSql:
    """The form in which the serializer shows rows of the model; `plant` leads to the plant."""
    sql = WireSql()
    sql.columns = _columns(sql, model, serializer(), [])
    sql.plant = _column(sql, model, [*plant.split("."), "pk"])
    return sql


def _columns(sql: WireSql, model: type[models.Model], serializer: Any, way: list[str]) -> str:
    return ", ".join(
        f'{_value(sql, model, one, [*way, *one.source_attrs])} AS "{name}"'
        for name, one in serializer.fields.items()
    )


def _value(sql: WireSql, model: type[models.Model], one: Any, way: list[str]) -> str:
    if isinstance(one, Serializer):
        return _nested(sql, model, one, way)
    for kinds, written in _WRITTEN:
        if isinstance(one, kinds) and one.source != "*":
            return written.format(_column(sql, model, way))
    raise TypeError(f"{one!r} has no wire form in SQL; say it in plant/api/wire_sql.py.")


def _nested(sql: WireSql, model: type[models.Model], one: Any, way: list[str]) -> str:
    key = _column(sql, model, [*way, "pk"])
    columns = _columns(sql, model, one, way)
    part = f"(SELECT row_to_json(part) FROM (SELECT {columns}) AS part)"  # noqa: S608  # nosec
    return f"CASE WHEN {key} IS NOT NULL THEN {part} END"


def _column(sql: WireSql, model: type[models.Model], way: list[str]) -> str:
    """The column at the end of the way, along rows joined under the names of the way."""
    row, here = "one", model
    for number, step in enumerate(way[:-1]):
        relation = here._meta.get_field(step)
        assert isinstance(relation, models.ForeignKey), f"{step} of {here} leads to no row."
        if row == "one":
            sql.own_columns.append(relation.column)
        if number == len(way) - 2 and way[-1] == "pk":
            return f"{row}.{relation.column}"
        joined = "_".join(["its", *way[: number + 1]])
        here = relation.related_model
        sql._joins[joined] = (
            f"LEFT JOIN {here._meta.db_table} AS {joined} ON {joined}.id = {row}.{relation.column}"
        )
        row = joined
    own = here._meta.pk if way[-1] == "pk" else here._meta.get_field(way[-1])
    assert isinstance(own, models.Field), f"{way} ends at no column."
    assert own.column, f"{way} ends at no column."
    if row == "one":
        sql.own_columns.append(own.column)
    return f"{row}.{own.column}"
