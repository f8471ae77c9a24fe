"""The walk-down app comes over a thin line to the phone: its scripts stay small."""

import gzip
from pathlib import Path

import diagnostics

_FOLDER = Path(diagnostics.__file__).parent / "static/diagnostics/pocket"
# All scripts, each sent compressed by itself. [bytes]
_MOST_BYTES = 100_000


def test_the_scripts_of_the_walk_down_stay_under_a_hundred_kilobytes():
    scripts = sorted(_FOLDER.rglob("*.js"))
    sizes = {one.name: len(gzip.compress(one.read_bytes())) for one in scripts}

    assert "app.js" in sizes
    assert sum(sizes.values()) < _MOST_BYTES, sizes
