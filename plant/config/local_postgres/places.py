"""The files and folders of one local database, all below one root."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from plant.config.data_folder import data_folder

SOCKET_NAME = ".s.PGSQL.5432"
# sun_path holds 104 bytes on macOS and 108 on Linux, the closing zero among them.
_LONGEST_SOCKET_PATH_BYTES = 103


@dataclass(frozen=True)
class Places:
    root: Path

    @property
    def cluster(self) -> Path:
        return self.root / "cluster"

    @property
    def unfinished_cluster(self) -> Path:
        return self.root / "cluster.unfinished"

    @property
    def postmaster_pid(self) -> Path:
        return self.cluster / "postmaster.pid"

    @property
    def log(self) -> Path:
        return self.root / "server.log"

    @property
    def start_lock(self) -> Path:
        """Held while one process looks whether the server runs and starts it."""
        return self.root / "start.lock"

    @property
    def users_lock(self) -> Path:
        """Shared by every process that uses the server; held alone while it is being stopped."""
        return self.root / "users.lock"

    @property
    def server_lock(self) -> Path:
        """Inherited by PostgreSQL, so held exactly as long as one of its processes lives."""
        return self.root / "server.lock"

    @property
    def watch_lock(self) -> Path:
        """Inherited by the watcher, so held exactly as long as there is one."""
        return self.root / "watch.lock"

    @property
    def socket_folder(self) -> Path:
        """Beside the data, or below /tmp when a socket there would have too long a name.

        Depends on the root alone, so that every process finds the same one. libpq reads a comma in
        a host as the start of the next host.
        """
        beside = self.root / "socket"
        fits = len(bytes(beside / SOCKET_NAME)) <= _LONGEST_SOCKET_PATH_BYTES
        if fits and "," not in str(beside):
            return beside
        name = hashlib.sha256(bytes(self.root)).hexdigest()[:16]
        return Path("/tmp") / f"loopwright-{name}"  # noqa: S108  # nosec: owner and mode are checked


def local_places() -> Places:
    return Places(data_folder() / "postgres")
