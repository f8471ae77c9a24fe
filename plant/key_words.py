"""What was done to a key, in words: one line for each thing that changed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.models import ApiKey, KeyLogEntry, Plant
from plant.templatetags.sheet import plant_time

_FIELDS = {
    "name": gettext_lazy("name"),
    "system": gettext_lazy("connected system"),
    "scopes": gettext_lazy("may"),
    "expiry_date": gettext_lazy("ends"),
    "requests_per_minute": gettext_lazy("requests a minute"),
}
# What is meant where nothing stands.
_NOTHING = {
    "expiry_date": gettext_lazy("no end"),
    "requests_per_minute": gettext_lazy("as the site has it"),
    "system": gettext_lazy("none"),
}


@dataclass(frozen=True)
class LogLine:
    at: datetime
    who: str
    what: str | Promise
    details: list[str]


def log_lines(entries: Iterable[KeyLogEntry], plant: Plant) -> list[LogLine]:
    return [
        LogLine(
            entry.at,
            entry.who or _("a command"),
            KeyLogEntry.What(entry.what).label,
            _details(entry, plant),
        )
        for entry in entries
    ]


def _details(entry: KeyLogEntry, plant: Plant) -> list[str]:
    if entry.what == KeyLogEntry.What.REPLACED:
        until = entry.new.get("former_until")
        if until is None:
            return [_("the old one stopped at once")]
        when = plant_time(datetime.fromisoformat(until), plant)
        return [_("the old one works until %(when)s") % {"when": when}]
    return [
        _("%(field)s: %(old)s, now %(new)s")
        % {
            "field": _FIELDS[field],
            "old": _value(field, entry.old[field], plant),
            "new": _value(field, entry.new[field], plant),
        }
        for field in entry.new
        if field in _FIELDS
    ]


def _value(field: str, value: Any, plant: Plant) -> str:
    if field == "scopes":
        known = dict(ApiKey.Scope.choices)
        return ", ".join(str(known.get(one, one)) for one in value)
    if value is None:
        return str(_NOTHING.get(field, ""))
    if field == "expiry_date":
        return plant_time(datetime.fromisoformat(value), plant)
    return str(value)
