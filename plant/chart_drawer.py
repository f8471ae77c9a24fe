"""The program that draws charts in a browser, as one static file that nobody keeps in the source.

It comes out of the library that draws on the server, so both draw alike. It is written once into
the data folder, by a process of its own: a process that has drawn must never fork, and whoever
collects or serves static files may.
"""

import atexit
import functools
import gzip
import importlib.metadata
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import BaseFinder
from django.contrib.staticfiles.utils import matches_patterns
from django.core.files.storage import FileSystemStorage

from plant.config import data_folder

ADDRESS = "plant/charts/drawer.js"
_LIBRARY = "vl-convert-python"
_EXPORT = "export {vegaEmbed as draw};"
_WRITE = (
    "import sys, vl_convert; "
    "sys.stdout.buffer.write(vl_convert.javascript_bundle(sys.argv[1]).encode())"
)
_AT_MOST_S = 120


class ChartDrawerFinder(BaseFinder):
    """Finds the one file; makes it where it is not yet there."""

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        if path != ADDRESS:
            return []
        made = str(made_file())
        return [made] if find_all or kwargs.get("all") else made

    def list(
        self, ignore_patterns: Iterable[str] | None
    ) -> Iterator[tuple[str, FileSystemStorage]]:
        if matches_patterns(ADDRESS, list(ignore_patterns or [])):
            return
        storage = FileSystemStorage(location=made_file().parents[2])
        yield ADDRESS, storage
        if settings.WHITENOISE_USE_FINDERS:
            # Nobody has collected, and so nobody else packs it.
            packed_file()
            yield f"{ADDRESS}.gz", storage


@functools.cache
def made_file() -> Path:
    """Where it lies, under a folder of the library's version and of what it offers."""
    kept = data_folder.data_folder()
    if not os.access(_there(kept), os.W_OK):
        # An image is built without the plant's data, say: made for this process alone.
        kept = Path(tempfile.mkdtemp(prefix="loopwright-"))
        atexit.register(shutil.rmtree, kept, ignore_errors=True)
    version = importlib.metadata.version(_LIBRARY)
    path = kept / f"made-by-{_LIBRARY}-{version}-{zlib.crc32(_EXPORT.encode()):08x}" / ADDRESS
    if not path.is_file():
        _make(path)
    return path


def packed_file() -> Path:
    """The same packed, for sites whose files were not collected."""
    path = made_file()
    packed = path.with_name(f"{path.name}.gz")
    if not packed.is_file():
        _put(packed, gzip.compress(path.read_bytes(), mtime=0))
    return packed


def _there(folder: Path) -> Path:
    return folder if folder.exists() or folder.parent == folder else _there(folder.parent)


def _make(path: Path) -> None:
    data_folder.make_folder(path.parent)
    made = subprocess.run(  # noqa: S603  # nosec B603
        [sys.executable, "-c", _WRITE, _EXPORT], check=True, capture_output=True, timeout=_AT_MOST_S
    )
    _put(path, made.stdout)


def _put(path: Path, content: bytes) -> None:
    """Whole at once: of two processes that make it together, both leave the same bytes."""
    draft = path.with_name(f"{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
    try:
        draft.write_bytes(content)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
