"""Files written before their rows: those that no row took up are gone again."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage


@dataclass
class WrittenFiles:
    """What was written to the storage; `keep` names what a row refers to now."""

    _written: list[str] = field(default_factory=list)
    _kept: set[str] = field(default_factory=set)

    def write(self, name: str, content: bytes) -> str:
        """Write a file and say what the storage calls it."""
        stored = default_storage.save(name, ContentFile(content))
        self._written.append(stored)
        return stored

    def keep(self, *names: str) -> None:
        self._kept.update(names)

    def remove_others(self) -> None:
        for name in self._written:
            if name not in self._kept:
                default_storage.delete(name)

    def remove_all(self) -> None:
        self._kept.clear()
        self.remove_others()


@contextmanager
def written_files() -> Iterator[WrittenFiles]:
    """To be entered before the transaction, so that it outlives a commit that fails."""
    files = WrittenFiles()
    try:
        yield files
    except BaseException:
        files.remove_all()
        raise
    files.remove_others()
