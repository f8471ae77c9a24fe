"""A digest of what knowledge says, whatever the order of keys and whoever wrote it when."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from diagnostics.knowledge_schema import SHAPES


def digest_of(documents: Mapping[str, Any]) -> str:
    """Of the entries of all four documents; their dates and numbers are left out."""
    entries = {file: documents[file][key] for file, (key, _validator) in sorted(SHAPES.items())}
    return _sha256(entries)


def mark_of(entry: Mapping[str, Any] | None) -> str:
    """Of one entry; empty where there is none, so that a form tells what it began from."""
    return "" if entry is None else _sha256(entry)[:16]


def _sha256(value: Any) -> str:
    # Separators and key order fixed: what comes back from the database has keys of another order.
    text = json.dumps(value, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
