"""Data folders for the tests of the launcher: of root, and of an ordinary user."""

import os
import pwd
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.loud_list import not_here
from tests.plant.local_postgres.sites import Site, interpreter_for

WHO = ["this user", "ordinary user"] if os.geteuid() == 0 else ["this user"]


@pytest.fixture(params=WHO)
def site(request: pytest.FixtureRequest) -> Iterator[Site]:
    """As root twice: as root, and as an ordinary user."""
    if request.param == "this user":
        yield from made_site(None)
    else:
        interpreter_for("nobody")
        yield from made_site("nobody")


@pytest.fixture
def ordinary_site() -> Iterator[Site]:
    if os.geteuid() != 0:
        yield from made_site(None)
    else:
        interpreter_for("nobody")
        yield from made_site("nobody")


@pytest.fixture
def own_site() -> Iterator[Site]:
    yield from made_site(None)


@pytest.fixture
def root_site() -> Iterator[Site]:
    if os.geteuid() != 0:
        not_here("only root can try what root meets")
    yield from made_site(None)


def made_site(person: str | None) -> Iterator[Site]:
    # Not below pytest's own folder: root's is closed to the user PostgreSQL runs as.
    data = Path(tempfile.mkdtemp(prefix="lw-", dir="/tmp"))
    data.chmod(0o755)
    if person:
        entry = pwd.getpwnam(person)
        os.chown(data, entry.pw_uid, entry.pw_gid)
    site = Site(data, person)
    try:
        yield site
        if site.places.server_lock.exists():
            site.wait_until_stopped()
    finally:
        shutil.rmtree(site.data, ignore_errors=True)
        shutil.rmtree(data, ignore_errors=True)
