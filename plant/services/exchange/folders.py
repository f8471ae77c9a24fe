"""The only way to the exchange folders: step by step from the root, through no link.

Each step is opened in the folder before it (openat, O_NOFOLLOW), so that neither a name nor a link
put there meanwhile leads out of the root.
"""

import os
import secrets
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from django.conf import settings
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.exchange import names
from plant.models import ExchangeSetting
from plant.services.claiming import SILENCE

OUT, IN, DONE, REFUSED = "out", "in", "done", "refused"
# The other system may run as another user of the same group.
_FOLDER_MODE, _FILE_MODE = 0o770, 0o660
_STEP = os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW | os.O_CLOEXEC
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_CLOEXEC


class FolderRefused(DomainError):
    """Links, missing rights, a full disk: the text says what the system said."""

    code = "folder_refused"


class FilesAreOff(DomainError):
    code = "files_are_off"


@dataclass(frozen=True)
class Part:
    """A file written aside, and how long it is."""

    name: str
    bytes: int


def is_on() -> bool:
    return bool(settings.LOOPWRIGHT_EXCHANGE)


def check_on() -> None:
    """Refuse with FilesAreOff where the server has no folder for them."""
    if not is_on():
        raise FilesAreOff(_("Files are off on this server: LOOPWRIGHT_EXCHANGE is not set."))


def path_of(setting: ExchangeSetting) -> str:
    """For people to read; nothing is opened by it."""
    root = settings.LOOPWRIGHT_EXCHANGE or "…"
    return os.path.join(str(root), setting.plant.code, setting.folder)


@contextmanager
def opened(setting: ExchangeSetting, folder: str) -> Iterator[int]:
    """A folder of a setting, made where it is missing; refuses with FolderRefused."""
    check_on()
    with _words():
        here = os.open(settings.LOOPWRIGHT_EXCHANGE, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        for step in (setting.plant.code, setting.folder, folder):
            further = _step(here, step)
            os.close(here)
            here = further
        yield here
    finally:
        os.close(here)


def _step(here: int, name: str) -> int:
    with _words(name):
        with suppress(FileExistsError):
            os.mkdir(name, _FOLDER_MODE, dir_fd=here)
        return os.open(name, _STEP, dir_fd=here)


def write_part(folder: int, name: str, content: Iterable[bytes]) -> Part:
    """Write a file aside, down to the disk; refuses with FolderRefused and leaves nothing."""
    part = names.aside(name, secrets.token_hex(4))
    with _words(name):
        try:
            file = os.open(part, _NEW, _FILE_MODE, dir_fd=folder)
            with os.fdopen(file, "wb") as opened_file:
                for piece in content:
                    opened_file.write(piece)
                opened_file.flush()
                os.fsync(opened_file.fileno())
                size = opened_file.tell()
        except BaseException:
            remove(folder, part)
            raise
    return Part(part, size)


def settle(folder: int, part: Part, name: str) -> None:
    """Give a whole file its name, at one stroke and lasting."""
    with _words(name):
        os.rename(part.name, name, src_dir_fd=folder, dst_dir_fd=folder)
        os.fsync(folder)


def put(folder: int, name: str, content: Iterable[bytes]) -> int:
    """A file under its name, whole or not at all; returns its length."""
    part = write_part(folder, name, content)
    settle(folder, part, name)
    return part.bytes


def move(source: int, name: str, target: int, new_name: str) -> None:
    """Of a link the link itself moves, never what it leads to."""
    with _words(name):
        os.rename(name, new_name, src_dir_fd=source, dst_dir_fd=target)
        os.fsync(target)
        os.fsync(source)


def is_as_found(folder: int, found: "Found") -> bool:
    """Whether the name still stands for the file that was found under it."""
    try:
        told = os.stat(found.name, dir_fd=folder, follow_symlinks=False)
    except FileNotFoundError:
        return False
    return (told.st_size, told.st_mtime_ns) == (found.bytes, found.changed_ns)


def remove(folder: int, name: str) -> None:
    with suppress(FileNotFoundError):
        os.unlink(name, dir_fd=folder)


def is_there(folder: int, name: str) -> bool:
    try:
        os.stat(name, dir_fd=folder, follow_symlinks=False)
    except FileNotFoundError:
        return False
    return True


@dataclass(frozen=True)
class Found:
    name: str
    bytes: int
    changed_ns: int
    is_plain: bool


def listed(folder: int, most: int) -> list[Found]:
    """What lies in a folder by name, links as links; at most so much of it."""
    found = []
    with os.scandir(folder) as entries:
        for entry in entries:
            # Of a name that is no text nothing could be told.
            if not entry.name.isprintable():
                continue
            with suppress(FileNotFoundError):
                told = entry.stat(follow_symlinks=False)
                is_plain = stat.S_ISREG(told.st_mode)
                if is_plain or stat.S_ISLNK(told.st_mode):
                    found.append(Found(entry.name, told.st_size, told.st_mtime_ns, is_plain))
            if len(found) >= most:
                break
    return sorted(found, key=lambda one: one.name)


def read(folder: int, found: Found, most_bytes: int) -> bytes | None:
    """The whole file as it was found; None when it is another or still being written."""
    with _words(found.name):
        file = os.open(
            found.name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC, dir_fd=folder
        )
    with os.fdopen(file, "rb") as opened_file:
        content = opened_file.read(most_bytes + 1)
        told = os.fstat(opened_file.fileno())
    as_found = (told.st_size, told.st_mtime_ns) == (found.bytes, found.changed_ns)
    return content if as_found and stat.S_ISREG(told.st_mode) else None


def forget_parts(folder: int) -> None:
    """Take away what a worker that died was writing aside."""
    too_old_ns = time.time_ns() - int(SILENCE.total_seconds() * 1e9)
    for one in listed(folder, 10_000):
        if names.is_aside(one.name) and one.name.startswith(".") and one.changed_ns < too_old_ns:
            remove(folder, one.name)


@contextmanager
def _words(name: str = "") -> Iterator[None]:
    try:
        yield
    except OSError as error:
        told = {"name": name or _("the exchange folder"), "why": error.strerror or str(error)}
        raise FolderRefused(_("%(name)s: %(why)s.") % told) from error
