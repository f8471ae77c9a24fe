"""The signing key of a machine whose administrator gave none."""

import os
import secrets

from plant.config import data_folder


def key_kept_in_data_folder() -> str:
    """Read the key, or make it once; readable by its owner only.

    A plant that runs several web processes on several machines sets SECRET_KEY instead.
    """
    path = data_folder.data_folder() / "secret-key"
    data_folder.make_folder(path.parent)
    try:
        # O_EXCL: of two processes started together, one makes the key and the other reads it.
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        kept = path.read_text().strip()
        if kept:
            return kept
        descriptor = os.open(path, os.O_WRONLY | os.O_TRUNC)
    key = secrets.token_urlsafe(50)
    with os.fdopen(descriptor, "w") as file:
        file.write(key)
    return key
