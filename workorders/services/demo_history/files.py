"""Reads the demonstration's data files; they are ours, so a fault in them is a defect."""

from functools import cache
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings


@cache
def read(name: str) -> dict[str, Any]:
    """Content of one file of `fixtures/larkwater`."""
    path = Path(settings.BASE_DIR) / "fixtures" / "larkwater" / name
    with path.open(encoding="utf-8") as file:
        content: dict[str, Any] = yaml.safe_load(file)
    return content
