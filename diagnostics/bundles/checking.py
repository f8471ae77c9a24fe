"""A bundle that was read, held against its schema and against itself, fault by fault."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from jsonschema import Draft202012Validator

from diagnostics.bundles.faults import MOST_FAULTS, BundleRefused, Fault
from diagnostics.bundles.reading import Path, Read
from diagnostics.bundles.shape import (
    FORMAT,
    FORMAT_VERSION,
    HEADING,
    MOST_ENTRIES,
    MOST_PARTS,
    SCHEMA,
    Heading,
)
from diagnostics.knowledge_comparison import Documents, Kind
from diagnostics.knowledge_entries import library_of
from diagnostics.knowledge_schema import KnowledgeError, check_shape


@dataclass(frozen=True)
class Bundle:
    """Entries by kind, in their order; a kind that a bundle does not speak of is not there."""

    heading: Heading
    entries: Mapping[Kind, list[dict[str, Any]]]


def checked(read: Read, beside: Documents) -> Bundle:
    """The bundle, if all of it can be used.

    Names are looked for in the bundle itself; in one that has not all four kinds also in
    `beside`, the knowledge of the plant it is sent to. Refuses with BundleRefused.
    """
    _check_heading(read)
    entries = {kind: read.value[kind.key] for kind in Kind if kind.key in read.value}
    faults = [one for kind in entries for one in _faults_of(read, kind)]
    if faults:
        raise BundleRefused(faults)
    _check_names(read, entries, beside)
    said = {name: read.value.get(name, "") for name in ("written_on", "plant", "edition")}
    return Bundle(Heading(**said), entries)


def documents_of(entries: Mapping[Kind, list[dict[str, Any]]], beside: Documents) -> Documents:
    """All four documents: a whole bundle as it is, else what it says put upon `beside`."""
    if len(entries) == len(Kind):
        return {kind.file: {**_dated(beside[kind.file]), kind.key: entries[kind]} for kind in Kind}
    found = {}
    for kind in Kind:
        ours, theirs = beside[kind.file][kind.key], entries.get(kind, [])
        named = {one["slug"] for one in theirs}
        kept = [one for one in ours if one["slug"] not in named]
        found[kind.file] = {**_dated(beside[kind.file]), kind.key: [*kept, *theirs]}
    return found


def _dated(document: Mapping[str, Any]) -> dict[str, Any]:
    return {"version": document["version"], "date": document["date"]}


def _check_heading(read: Read) -> None:
    value = read.value
    if not isinstance(value, dict):
        raise _refused(read, (), _("a bundle is lines of `name: value`, format first"))
    if value.get("format") != FORMAT:
        said = _("this is no bundle of knowledge; one begins with `format: %(format)s`")
        raise _refused(read, ("format",), said % {"format": FORMAT})
    version = value.get("format_version")
    if isinstance(version, bool) or version != FORMAT_VERSION:
        said = _("version %(given)r of the format is not read here, only %(known)d")
        words = {"given": version, "known": FORMAT_VERSION}
        raise _refused(read, ("format_version",), said % words)
    for name in value:
        if name not in SCHEMA["properties"]:
            known = ", ".join(SCHEMA["properties"])
            said = _("a bundle has no %(name)s; it has %(known)s")
            raise _refused(read, (name,), said % {"name": name, "known": known})
    if not any(kind.key in value for kind in Kind):
        raise _refused(read, (), _("the bundle holds no entries"))
    for name in HEADING:
        if name in value and not Draft202012Validator(SCHEMA["properties"][name]).is_valid(
            value[name]
        ):
            said = _("%(value).80r cannot be used; a short text, and a date as 2026-11-28")
            raise _refused(read, (name,), said % {"value": value[name]})


def _refused(read: Read, path: Path, text: str) -> BundleRefused:
    name = str(path[0]) if path else ""
    return BundleRefused([Fault(text, read.line_of(path), document=name)])


def _faults_of(read: Read, kind: Kind) -> Iterator[Fault]:
    """The first fault of each entry, of so many entries as somebody would mend at a time."""
    rows = read.value[kind.key]
    path: Path = (kind.key,)
    if not isinstance(rows, list) or not rows:
        said = _("must be a list of entries; leave it out when there are none")
        yield Fault(said, read.line_of(path), kind.key)
        return
    if len(rows) > MOST_ENTRIES:
        said = _("has more than %(most)d entries") % {"most": MOST_ENTRIES}
        yield Fault(said, read.line_of(path), kind.key)
        return
    seen: set[str] = set()
    count = 0
    for index, entry in enumerate(rows):
        fault = _fault_of(read, kind, index, entry, seen)
        if fault is not None:
            yield fault
            count += 1
        if count > MOST_FAULTS:
            return


def _fault_of(read: Read, kind: Kind, index: int, entry: Any, seen: set[str]) -> Fault | None:
    path: Path = (kind.key, index)
    slug = entry.get("slug") if isinstance(entry, dict) else None
    name = slug if isinstance(slug, str) and slug else f"entry {index + 1}"
    if crowded := _crowded(entry):
        said = _("has more than %(most)d parts") % {"most": MOST_PARTS}
        return Fault(said, read.line_of((*path, crowded)), kind.key, name, crowded)
    try:
        check_shape(kind.file, {"version": 1, "date": "2026-11-28", kind.key: [entry]})
    except KnowledgeError as error:
        return _told(read, kind, index, name, error)
    if name in seen:
        said = _("is used by two entries")
        return Fault(said, read.line_of((*path, "slug")), kind.key, name, "slug")
    seen.add(name)
    return None


def _crowded(entry: Any) -> str:
    """A field with more parts than anybody writes: telling them all apart would take minutes."""
    if not isinstance(entry, dict):
        return ""
    for name, value in entry.items():
        parts = value.values() if isinstance(value, dict) else ()
        if any(isinstance(one, list) and len(one) > MOST_PARTS for one in (value, *parts)):
            return name
    return ""


def _check_names(
    read: Read, entries: Mapping[Kind, list[dict[str, Any]]], beside: Documents
) -> None:
    """What no schema can say; the checker of the knowledge files names one fault at a time."""
    try:
        # Its own shapes were checked, and so were those of the plant when they were kept.
        library_of(documents_of(entries, beside), "")
    except KnowledgeError as error:
        kind = next(one for one in Kind if one.file == error.file)
        slugs = [one["slug"] for one in entries.get(kind, [])]
        if error.entry in slugs:
            fault = _told(read, kind, slugs.index(error.entry), error.entry, error)
        else:
            # An entry of the plant's own that leans on one the bundle has another way.
            fault = Fault(error.text, None, kind.key, error.entry, error.field)
        raise BundleRefused([fault]) from error


def _told(read: Read, kind: Kind, index: int, name: str, error: KnowledgeError) -> Fault:
    parts = tuple(int(one) if one.isdecimal() else one for one in error.field.split(".") if one)
    line = read.line_of((kind.key, index, *parts))
    return Fault(error.text, line, kind.key, name, error.field)
