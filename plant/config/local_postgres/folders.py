"""Makes the folders of a local database, and refuses those that are somebody else's.

Nobody else's folder is ever opened to others; where one bars the way, the message names it.
"""

import os
import stat
from pathlib import Path

from plant.config import data_folder
from plant.config.local_postgres import faults
from plant.config.local_postgres.account import Account
from plant.config.local_postgres.places import Places

_ANOTHER_DATA_FOLDER = "Set LOOPWRIGHT_DATA to another folder"


def make_root(root: Path) -> None:
    """The folder of locks and log is ours; as root the server's user may only pass through it."""
    try:
        data_folder.make_folder(root.parent)
        root.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise faults.setup_fault(
            f"The folder {root} cannot be made ({error.strerror}).", _ANOTHER_DATA_FOLDER
        ) from error
    owner = root.lstat().st_uid
    if owner != os.geteuid():
        raise faults.setup_fault(
            f"The database in {root} belongs to the user number {owner}, and this process runs "
            f"as number {os.geteuid()}.",
            f"Run this as that user. {_ANOTHER_DATA_FOLDER}",
        )
    if os.geteuid() == 0:
        root.chmod(0o711)


def check_way(places: Places, account: Account) -> None:
    barring = account.folder_that_bars_the_way(places.root)
    if barring is not None:
        raise faults.setup_fault(
            f"PostgreSQL runs as the user {account.name}, who may not enter {barring}.",
            f"{_ANOTHER_DATA_FOLDER} (/var/lib/loopwright is the usual one), "
            "run Loopwright as an ordinary user",
        )


def make_private(folder: Path, account: Account) -> None:
    """A folder only the account may enter. One that stands there already must be just that."""
    try:
        folder.mkdir(mode=0o700)
    except FileExistsError:
        _check_private(folder, account)
        return
    if not account.is_ours:
        os.chown(folder, account.uid, account.gid)


def _check_private(folder: Path, account: Account) -> None:
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode):
        raise faults.setup_fault(f"{folder} is not a folder.", _ANOTHER_DATA_FOLDER)
    if found.st_uid != account.uid:
        raise faults.setup_fault(
            f"{folder} belongs to the user number {found.st_uid}; "
            f"PostgreSQL runs as {account.name}.",
            f"Run this as that user. {_ANOTHER_DATA_FOLDER}",
        )
    if found.st_mode & 0o077:
        raise faults.setup_fault(
            f"{folder} is open to other users, who could read every record through it.",
            f"Close it with: chmod 700 {folder}. {_ANOTHER_DATA_FOLDER}",
        )
