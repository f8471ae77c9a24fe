"""Where Loopwright keeps what it must not lose on this machine: database, secret key, files."""

import os
from pathlib import Path


def data_folder() -> Path:
    """The folder named by LOOPWRIGHT_DATA, else the system's usual place for it.

    Only names the folder; whoever writes there makes it.
    """
    named = os.environ.get("LOOPWRIGHT_DATA")
    if named:
        return Path(named).expanduser().resolve()
    if os.geteuid() == 0:
        return Path("/var/lib/loopwright")
    base = os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    return Path(base) / "loopwright"


def make_folder(folder: Path) -> None:
    """Make the folder and those above it that are missing.

    Those we make as root can be passed through by the system user PostgreSQL runs as, whatever the
    umask; those we find are left as they are.
    """
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    if os.geteuid() == 0:
        folder.chmod(0o755)
