"""Whose account PostgreSQL runs under: ours, or a system user when we are root.

PostgreSQL refuses to run as root, rightly: who may write SQL as its superuser may run programs.
"""

import logging
import os
import pwd
import shutil
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from plant.config.local_postgres import faults

logger = logging.getLogger(__name__)

SYSTEM_USER = "loopwright"
_USERADD_OPTIONS = (
    "--system",
    "--user-group",
    "--no-create-home",
    "--home-dir=/nonexistent",
    "--shell=/usr/sbin/nologin",
)
_PATIENCE_S = 5.0


@dataclass(frozen=True)
class Account:
    name: str
    uid: int
    gid: int

    @property
    def is_ours(self) -> bool:
        return self.uid == os.geteuid()

    def popen_options(self) -> dict[str, Any]:
        if self.is_ours:
            return {}
        return {"user": self.uid, "group": self.gid, "extra_groups": []}

    def folder_that_bars_the_way(self, path: Path) -> Path | None:
        """The outermost folder on the way to path that this account may not enter.

        None for our own account: what we can reach is seen by trying, whatever grants it.
        """
        if self.is_ours:
            return None
        for folder in [*reversed(path.resolve().parents), path.resolve()]:
            status = folder.stat()
            may_enter = (
                status.st_mode & 0o001
                or (status.st_uid == self.uid and status.st_mode & 0o100)
                or (status.st_gid == self.gid and status.st_mode & 0o010)
            )
            if not may_enter:
                return folder
        return None


def server_account() -> Account:
    if os.geteuid() != 0:
        return Account(_our_name(), os.geteuid(), os.getegid())
    return _system_user() or _made_system_user()


def _our_name() -> str:
    try:
        return pwd.getpwuid(os.geteuid()).pw_name
    except KeyError:
        return f"number {os.geteuid()}"


def _system_user() -> Account | None:
    try:
        entry = pwd.getpwnam(SYSTEM_USER)
    except KeyError:
        return None
    return Account(entry.pw_name, entry.pw_uid, entry.pw_gid)


def _made_system_user() -> Account:
    useradd = shutil.which("useradd", path="/usr/sbin:/sbin:/usr/bin:/bin")
    if useradd is None:
        raise _no_system_user("there is no useradd on this machine")
    made = subprocess.run(  # noqa: S603  # nosec: fixed arguments, no shell
        [useradd, *_USERADD_OPTIONS, SYSTEM_USER],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode == 0:
        logger.warning("Made the system user %s; PostgreSQL runs as it.", SYSTEM_USER)
    # Another process may just be making it: then ours fails and the user is there a moment later.
    give_up_at = time.monotonic() + _PATIENCE_S
    while (account := _system_user()) is None:
        if time.monotonic() > give_up_at:
            raise _no_system_user(made.stderr.strip() or "useradd made none")
        time.sleep(0.1)
    return account


def _no_system_user(why: str) -> Exception:
    return faults.setup_fault(
        f"PostgreSQL cannot run as root, and the system user {SYSTEM_USER} it would run as "
        f"is missing: {why}.",
        f"Run Loopwright as an ordinary user, make the system user {SYSTEM_USER} yourself",
    )
