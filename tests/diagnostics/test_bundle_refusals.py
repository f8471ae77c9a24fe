"""Bundles that cannot be used: each is refused by line, document, entry and field."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from diagnostics import knowledge_files
from diagnostics.bundles import checking, reading, writing
from diagnostics.bundles.faults import MOST_FAULTS, BundleRefused, Fault
from diagnostics.bundles.shape import MOST_ENTRIES, MOST_PARTS, Heading
from tests.diagnostics import bundle_rows, editions

HEAD = b"format: loopwright-knowledge\nformat_version: 1\n"


def refused(content: bytes) -> list[Fault]:
    with pytest.raises(BundleRefused) as caught:
        checking.checked(reading.read(content), knowledge_files.documents())
    assert len(str(caught.value)) < 20_000
    return list(caught.value.faults)


@pytest.mark.parametrize(
    ("content", "line", "says"),
    [
        (b"", None, "empty"),
        (b"# only a remark\n", None, "empty"),
        (b"\xff\xfef\x00o\x00", 1, "UTF-8"),
        (HEAD + b"plant: \xe9\n", 3, "UTF-8"),
        (HEAD + b"plant: a\x00b\n", None, "no YAML"),
        (HEAD + "plant: a\u2028b\n".encode(), 3, "U+2028"),
        (HEAD + b"plant: [\n", 4, "no YAML"),
        (HEAD + b"\tplant: x\n", 3, "no YAML"),
        (HEAD + b"plant: !!python/object/apply:os.system ['true']\n", 3, "tags"),
        (HEAD + b"plant: !!str x\n", 3, "tags"),
        (HEAD + b"plant: ! x\n", 3, "tags"),
        (HEAD + b"!!str plant: x\n", 3, "tags"),
        (HEAD + b"rules: &all [*all]\n", 3, "anchors"),
        (HEAD + b"plant: &name x\n", 3, "anchors"),
        (HEAD + b"rules: &r\n- slug: a\n  self: *r\n", 3, "anchors"),
        (HEAD + b"<<: {plant: x}\n", 3, "has no <<"),
        (HEAD + b"format: loopwright-knowledge\n", 3, "given twice"),
        (HEAD + b"rules:\n- slug: one\n  slug: two\n", 5, "given twice"),
        (HEAD + b"---\nformat: other\n", 3, "second document"),
        (b"%YAML 1.1\n---\n" + HEAD, 1, "directive"),
        (b"%TAG ! tag:example.com,2026:\n---\n" + HEAD, 1, "directive"),
        (HEAD + b"1: x\n", 3, "must be a word"),
        (HEAD + b"? [a, b]\n: x\n", 3, "must be a word"),
        (HEAD + b"plant: " + b"9" * 5000 + b"\n", 3, "too long"),
        (HEAD + b"plant: 0x" + b"f" * 5000 + b"\n", 3, "too long"),
        (HEAD + b"plant: 0o" + b"7" * 9000 + b"\n", 3, "too long"),
        (b"format: loopwright-knowledge\nformat_version: 0x" + b"f" * 5000, 2, "too long"),
        (HEAD + b"rules: " + b"[" * 50_000, 3, "nest"),
        (HEAD + b"rules: " + b"[" * 20 + b"]" * 20, 3, "nested deeper"),
        (HEAD + b"rules:\n" + b"- " * 50_000, 4, "nested deeper"),
        (HEAD + b"rules: [" + b"1," * 300_000 + b"]", 3, "values"),
        (b"#" * (reading.LARGEST_BYTES + 1), None, "larger than 2 MB"),
        (b"just words", 1, "format first"),
        (b"[1, 2]", 1, "format first"),
        (b"version: 1\nrules: []\n", 1, "no bundle of knowledge"),
        (b"format: other\n", 1, "no bundle of knowledge"),
        (b"format: loopwright-knowledge\n", 1, "version None"),
        (b"format: loopwright-knowledge\nformat_version: 2\n", 2, "version 2"),
        (b"format: loopwright-knowledge\nformat_version: true\n", 2, "version True"),
        (HEAD, 1, "no entries"),
        (HEAD + b"spells: []\n", 3, "has no spells"),
        (HEAD + b"written_on: yesterday\nrules: []\n", 3, "date as"),
        (HEAD + b'plant: "a\\0b"\nrules: []\n', 3, "short text"),
        (HEAD + b"plant: 12\nrules: []\n", 3, "short text"),
        (HEAD + b"rules: []\n", 3, "list of entries"),
        (HEAD + b"rules:\n", 3, "list of entries"),
        (HEAD + b"rules: {a: 1}\n", 3, "list of entries"),
        (HEAD + b"rules: [5]\n", 3, "type object"),
    ],
)
def test_what_is_no_bundle_is_refused_by_its_line(content, line, says):
    faults = refused(content)

    assert says in faults[0].text
    assert faults[0].line == line
    assert str(faults[0]).startswith(f"line {line}" if line else "")
    assert "\n" not in str(faults[0])


def whole(change: Callable[[dict[str, Any]], object]) -> bytes:
    documents = editions.installed()
    change(documents)
    return writing.text_of(documents, Heading("2026-11-28")).encode()


def setting(kind: str, slug: str, **fields: Any) -> Callable[[dict[str, Any]], object]:
    return lambda documents: editions.entry(documents, kind, slug).update(fields)


@pytest.mark.parametrize(
    ("kind", "slug", "fields", "field", "says"),
    [
        ("causes", "structure_bowed", {"weight": "yes"}, "weight", "type number"),
        ("causes", "structure_bowed", {"shift": "the belt"}, "shift", "is not one of"),
        ("causes", "structure_bowed", {"work_method": "hit-it"}, "work_method", "no 'hit-it'"),
        ("causes", "structure_bowed", {"colour": "red"}, "", "does not know colour"),
        (
            "causes",
            "structure_bowed",
            {"look_alikes": [{"cause": "structure_bowed", "tell_apart": "not at all"}]},
            "look_alikes",
            "itself",
        ),
        (
            "rules",
            "row-before-skirts",
            {"when": {"onset": ["at the moon"]}},
            "when.onset.0",
            "is not one of",
        ),
        (
            "rules",
            "row-before-skirts",
            {"speaks": [{"cause": "nobody_knows_it", "ratio": 2}]},
            "speaks",
            "no 'nobody_knows_it'",
        ),
        (
            "rules",
            "row-before-skirts",
            {"speaks": [{"cause": "structure_bowed", "ratio": 1e9}]},
            "speaks.0.ratio",
            "at most 100",
        ),
        ("rules", "row-before-skirts", {"version": float("nan")}, "version", "finite"),
        ("rules", "row-before-skirts", {"says": "a\x01bc"}, "says", "cannot be written"),
        ("work_methods", "square-pulley", {"hours": 99}, "hours", "add up to"),
        ("work_methods", "square-pulley", {"needs_isolation": "no"}, "needs_isolation", "boolean"),
        ("cautions", "isolate-lock-try", {"source": ""}, "source", "too short"),
    ],
)
def test_a_faulty_entry_is_told_by_line_document_entry_and_field(kind, slug, fields, field, says):
    content = whole(setting(kind, slug, **fields))
    lines = content.decode().splitlines()

    fault = refused(content)[0]

    assert (fault.document, fault.entry, fault.field) == (kind, slug, field)
    assert says in fault.text
    # From the line of the entry's name on, before the next entry begins.
    begins = lines.index(f"- slug: {slug}")
    ends = next(n for n in range(begins + 1, len(lines)) if lines[n][0] != " ")
    assert begins < (fault.line or 0) <= ends
    name = next((one for one in reversed(field.split(".")) if not one.isdecimal()), "")
    assert name in " ".join(lines[(fault.line or 0) - 2 : fault.line])


@pytest.mark.parametrize("slug", ["two words", "abc\n", "../etc", "a", "Ünder", "x" * 61])
def test_a_name_that_no_address_can_hold_is_refused(slug):
    fault = refused(bundle_rows.text(cautions=[bundle_rows.caution(slug=slug)]))[0]

    assert (fault.document, fault.field) == ("cautions", "slug")


def test_the_first_fault_of_every_entry_is_told_so_that_all_are_mended_at_once():
    rows = [bundle_rows.caution(slug=f"caution-{n}", source="") for n in range(MOST_FAULTS + 5)]

    faults = refused(bundle_rows.text(cautions=rows))

    assert [one.entry for one in faults] == [f"caution-{n}" for n in range(MOST_FAULTS)]


def test_two_entries_of_one_name_are_refused():
    fault = refused(bundle_rows.text(cautions=[bundle_rows.caution()] * 2))[0]

    assert (fault.entry, fault.field) == ("wind-on-the-gallery", "slug")
    assert "two entries" in fault.text


def test_more_entries_or_parts_than_anybody_writes_are_refused():
    many = [bundle_rows.caution(slug=f"caution-{n}") for n in range(MOST_ENTRIES + 1)]
    speaks = [{"cause": "structure_bowed", "ratio": 1 + n} for n in range(MOST_PARTS + 1)]
    crowded = {**editions.cleaner_rule(), "speaks": speaks}

    assert "more than 2000 entries" in refused(bundle_rows.text(cautions=many))[0].text
    fault = refused(bundle_rows.text(rules=[crowded]))[0]
    assert (fault.entry, fault.field) == ("own-cleaner-rule", "speaks")
    assert "more than 200 parts" in fault.text


def test_rules_alone_may_lean_on_the_causes_of_the_plant_they_are_sent_to():
    content = bundle_rows.text(rules=[editions.cleaner_rule()])

    bundle = checking.checked(reading.read(content), knowledge_files.documents())

    assert [one["slug"] for rows in bundle.entries.values() for one in rows] == ["own-cleaner-rule"]


def test_a_whole_bundle_must_hold_what_it_names():
    def drop(documents: dict[str, Any]) -> None:
        rows = documents["cautions.yaml"]["cautions"]
        rows[:] = [one for one in rows if one["slug"] != "isolate-lock-try"]

    fault = refused(whole(drop))[0]

    assert fault.field == "cautions"
    assert "no 'isolate-lock-try'" in fault.text
    assert fault.line is not None


def test_a_bundle_written_as_json_is_read():
    content = json.dumps(json.loads(bundle_rows.text(cautions=[bundle_rows.caution()])), indent=2)

    bundle = checking.checked(reading.read(content.encode()), knowledge_files.documents())

    assert bundle.heading.plant == "Far Quarry"
