"""A file of asset tags held against what stands."""

from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from plant.exports import cell_of
from plant.import_words import ROWS, in_words
from plant.models import ConnectedSystem, Conveyor, WordingEntry
from plant.register_files.columns import Column, Sheet
from plant.register_files.reading import ParsedRow, ParsedSheet
from plant.wording.refusals import TAGS
from plant.wording_entries import Entry, Value

MOST_ROWS = 20_000
MOST_BYTES = 4_000_000
_LONGEST = 200
SHEET = Sheet(
    "asset_tags",
    "Asset tags",
    (
        Column("conveyor", "Conveyor", is_key=True),
        Column("component", "Component"),
        Column("asset_tag", "Asset tag", is_key=True, also=("their tag", "tag of the system")),
    ),
)


@dataclass(frozen=True)
class FileTag:
    """A row of the file; `old` and `new` are tags, empty where there is none."""

    number: int
    conveyor: str
    component: str
    old: str
    new: str
    entry: Entry | None = None
    reasons: list[str] = field(default_factory=list)

    @property
    def is_change(self) -> bool:
        return not self.reasons and self.old != self.new

    @property
    def value(self) -> Value | None:
        return Value(self.new) if self.new else None


def compare(system: ConnectedSystem, sheet: ParsedSheet) -> list[FileTag]:
    """Each row with what is wrong with it; an empty tag takes the standing one away."""
    conveyors = {
        tag.casefold(): pk
        for tag, pk in Conveyor.objects.filter(plant_id=system.plant_id).values_list("tag", "pk")
    }
    rows = WordingEntry.objects.filter(system=system, part=TAGS)
    stands: dict[tuple[int | None, str], str] = {
        (pk, key): tag for pk, key, tag in rows.values_list("conveyor_id", "key", "value")
    }
    met: dict[tuple[int | None, str], int] = {}
    return [_row(parsed, conveyors, stands, met) for parsed in sheet.rows]


def _row(
    parsed: ParsedRow,
    conveyors: dict[str, int],
    stands: dict[tuple[int | None, str], str],
    met: dict[tuple[int | None, str], int],
) -> FileTag:
    said = {name: str(value or "").strip() for name, value in parsed.values.items()}
    tag, component = said.get("conveyor", ""), said.get("component", "")
    new = _unguarded(said.get("asset_tag", ""))
    pk = conveyors.get(tag.casefold())
    place = (pk, component)
    reasons = [in_words(ROWS, (one.code, one.column, one.values)) for one in parsed.reasons]
    if pk is None:
        reasons.append(_("No conveyor of this plant has the tag %(tag)s.") % {"tag": tag})
    elif place in met:
        reasons.append(_("The same place stands in row %(row)d.") % {"row": met[place]})
    if len(new) > _LONGEST or len(component) > 120:
        reasons.append(_("This is longer than %(most)d characters.") % {"most": _LONGEST})
    met.setdefault(place, parsed.number)
    entry = None if pk is None else Entry(TAGS, pk, component)
    old = stands.get(place, "")
    return FileTag(parsed.number, tag, component, old, new, entry, reasons)


def _unguarded(text: str) -> str:
    """Our own files put an apostrophe before what a spreadsheet would take for a formula."""
    return text[1:] if text.startswith("'") and cell_of(text[1:]) == text else text
