"""What is written as a bundle is read again as it was, to the last letter and digit."""

import json
import math
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import HealthCheck, given, settings

from diagnostics import knowledge_files
from diagnostics.bundles import checking, merging, reading, writing
from diagnostics.bundles.shape import SCHEMA, Heading
from diagnostics.knowledge_comparison import Documents, Kind
from tests.diagnostics.generated_knowledge import MISLEADING, knowledge

_HEADING = Heading("2026-11-28", "Larkwater: yes", "edition 3 (0123)")
_CALM = (HealthCheck.too_slow, HealthCheck.data_too_large)


def entries(documents: Documents) -> dict[str, Any]:
    return {kind.key: documents[kind.file][kind.key] for kind in Kind}


def exactly(value: Any) -> str:
    """Tells 1 from 1.0 and true from 1, which Python holds to be equal."""
    return json.dumps(value, sort_keys=True)


def goes_round(documents: Documents) -> None:
    text = writing.text_of(documents, _HEADING)

    found = checking.checked(reading.read(text.encode()), knowledge_files.documents())

    read = {kind.key: rows for kind, rows in found.entries.items()}
    assert exactly(read) == exactly(entries(documents))
    assert found.heading == _HEADING
    assert writing.text_of(checking.documents_of(found.entries, documents), _HEADING) == text
    assert merging.differences(documents, read, is_dropping=True) == ()
    # A reader of YAML 1.1, made by others, finds the same below the same schema.
    others = yaml.safe_load(text)
    assert exactly({kind.key: others[kind.key] for kind in Kind}) == exactly(entries(documents))
    jsonschema.validate(others, SCHEMA)


@settings(max_examples=8, deadline=None, suppress_health_check=_CALM)
@given(knowledge())
def test_generated_knowledge_goes_round_unchanged(documents):
    goes_round(documents)


@pytest.mark.slow
@settings(max_examples=600, deadline=None, suppress_health_check=_CALM)
@given(knowledge())
def test_much_generated_knowledge_goes_round_unchanged(documents):
    goes_round(documents)


def test_the_installed_knowledge_goes_round_unchanged():
    goes_round(knowledge_files.documents())


def test_misleading_texts_stay_texts():
    rows = [{"slug": f"no-{n}", "says": text, "source": text} for n, text in enumerate(MISLEADING)]
    documents = {kind.file: {kind.key: []} for kind in Kind} | {"cautions.yaml": {"cautions": rows}}

    written = writing.text_of(documents, _HEADING)

    assert reading.read(written.encode()).value["cautions"] == rows
    assert yaml.safe_load(written)["cautions"] == rows


# YAML 1.2.2, example 10.9 "Core Tag Resolution".
_CORE = """\
A null: null
Also a null: # Empty
Not a null: ""
Booleans: [ true, True, false, FALSE ]
Integers: [ 0, 0o7, 0x3A, -19 ]
Floats: [ 0., -0.0, .5, +12e03, -2E+05 ]
Also floats: [ .inf, -.Inf, +.INF, .NAN ]
"""


def test_words_are_read_as_yaml_1_2_2_example_10_9_says():
    found = reading.read(_CORE.encode()).value

    not_numbers = found.pop("Also floats")
    assert exactly(found) == exactly(
        {
            "A null": None,
            "Also a null": None,
            "Not a null": "",
            "Booleans": [True, True, False, False],
            "Integers": [0, 7, 58, -19],
            "Floats": [0.0, -0.0, 0.5, 12000.0, -200000.0],
        }
    )
    assert not_numbers[:3] == [math.inf, -math.inf, math.inf]
    assert math.isnan(not_numbers[3])


@pytest.mark.parametrize(
    "word", ["yes", "No", "on", "OFF", "y", "n", "2026-11-28", "1:30", "1_000", "0b11", "<<", "="]
)
def test_what_only_yaml_1_1_takes_for_something_else_is_text(word):
    assert reading.read(f"a: {word}".encode()).value == {"a": word}


def test_every_value_knows_its_line():
    found = reading.read(b"a: 1\nb:\n- c: 2\n  d: [3,\n   4]\n- e\n")

    lines = {("a",): 1, ("b",): 2, ("b", 0, "c"): 3, ("b", 0, "d", 1): 5, ("b", 1): 6}
    assert {path: found.line_of(path) for path in lines} == lines
    assert found.line_of(("b", 0, "d", 7)) == 4


def test_fields_kept_by_a_database_are_written_in_the_order_of_the_schema():
    shuffled = json.loads(json.dumps(knowledge_files.documents(), sort_keys=True))

    assert writing.text_of(shuffled, _HEADING) == writing.text_of(
        knowledge_files.documents(), _HEADING
    )
