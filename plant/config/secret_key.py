"""The signing key of a machine whose administrator gave none."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from plant.config import data_folder


def key_kept_in_data_folder() -> str:
    """Read the key, or make it once; readable by its owner only.

    A plant that runs several web processes on several machines sets SECRET_KEY instead.
    """
    path = data_folder.data_folder() / "secret-key"
    try:
        return _kept(path) or _made(path)
    except OSError as error:
        raise ImproperlyConfigured(
            f"The signing key in {path} can be neither read nor made ({error.strerror}). "
            "Run this as the user who owns that folder, set LOOPWRIGHT_DATA to one of your own, "
            "or set SECRET_KEY."
        ) from error


def _kept(path: Path) -> str:
    try:
        return path.read_text().strip()
    except FileNotFoundError:
        return ""


def _made(path: Path) -> str:
    """Put a whole key in place at once: of two processes started together, both read the same."""
    data_folder.make_folder(path.parent)
    draft = path.with_name(f"secret-key.{os.getpid()}.{secrets.token_hex(4)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(descriptor, "w") as file:
            file.write(secrets.token_urlsafe(50))
        try:
            os.link(draft, path)
        except FileExistsError:
            # Somebody else's key stays, unless a full disk, say, has left the file empty.
            if not _kept(path):
                draft.replace(path)
        return _kept(path)
    finally:
        draft.unlink(missing_ok=True)
