"""Bundles as tests need them: as a plant writes them, as somebody writes them by hand."""

import json
from typing import Any

from diagnostics.models import KnowledgeBundle
from diagnostics.services import bundle_taking
from plant.models import Plant, User
from tests.diagnostics.factories import NOW


def text(**kinds: list[dict[str, Any]]) -> bytes:
    """A bundle of these entries, as JSON, which is YAML 1.2 too."""
    heading = {"format": "loopwright-knowledge", "format_version": 1, "plant": "Far Quarry"}
    return json.dumps({**heading, **kinds}).encode()


def caution(**changes: Any) -> dict[str, Any]:
    return {
        "slug": "wind-on-the-gallery",
        "says": "Above the wind limit of the site nobody works on an open gallery.",
        "source": "site's own",
        **changes,
    }


def take(plant: Plant, content: bytes, *, by: User | None = None) -> KnowledgeBundle:
    return bundle_taking.take_bundle(
        plant=plant, name="far-quarry.yaml", content=content, by=by, now=NOW
    )
