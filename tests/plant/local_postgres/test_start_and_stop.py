"""Start, sharing and stop of the local PostgreSQL, with real processes."""

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.plant.local_postgres.sites import ROOT, STARTED_AT, Site, User, wait_until

pytestmark = pytest.mark.slow

# A busy machine has two fifths of it to take one step after a pause of three.
LINGER_S = 5


def test_importing_the_settings_starts_nothing(own_site: Site):
    ran = subprocess.run(
        [sys.executable, "-c", "import plant.config.settings"],
        capture_output=True,
        **own_site.run_options(),
    )

    assert ran.returncode == 0, ran.stderr
    assert not own_site.places.root.exists()


def test_first_connection_starts_the_server_and_the_last_exit_stops_it(site: Site):
    with User(site) as user:
        who, where, tcp = user.ask(
            "SELECT current_user, current_database(), current_setting('listen_addresses')"
        )

        assert (who, where, tcp) == ("loopwright", "loopwright", "")
        assert site.server_runs()

    site.wait_until_stopped()
    assert not site.places.postmaster_pid.exists()


def test_text_sorts_the_same_on_every_machine(own_site: Site):
    with User(own_site) as user:
        encoding, provider, locale = user.ask(
            "SELECT pg_encoding_to_char(encoding), datlocprovider, datlocale"
            " FROM pg_database WHERE datname = current_database()"
        )

    assert (encoding, provider, locale) == ("UTF8", "b", "C.UTF-8")


def test_only_the_server_user_may_enter_data_and_socket(site: Site):
    with User(site) as user:
        user.ask(STARTED_AT)

        for folder in (site.places.cluster, site.places.socket_folder):
            assert stat.S_IMODE(folder.stat().st_mode) == 0o700
            assert folder.stat().st_uid == site.owner()
        assert site.owner() != 0


def test_server_under_root_cannot_read_the_secret_key(root_site: Site):
    key = root_site.data / "secret-key"
    key.write_text("secret")
    key.chmod(0o600)

    with User(root_site) as user:
        user.say(f"SELECT pg_read_file('{key}')")
        heard = user.hear()

    assert "Permission denied" in heard["text"]


def test_second_process_shares_the_running_server(site: Site):
    with User(site) as first:
        started_at = first.ask(STARTED_AT)
        with User(site) as second:
            assert second.ask(STARTED_AT) == started_at
            first.leave()
            time.sleep(0.3)

            assert second.ask(STARTED_AT) == started_at


@pytest.mark.parametrize("count", [2, 6])
def test_cold_starts_at_the_same_time_make_one_server(own_site: Site, count: int):
    users = [User(own_site) for _ in range(count)]

    for user in users:
        user.say(STARTED_AT)
    heard = [user.hear() for user in users]
    for user in users:
        user.leave()

    assert heard == [heard[0]] * count
    assert "answer" in heard[0]


def test_following_command_finds_a_warm_server(own_site: Site):
    own_site.linger_s = LINGER_S
    with User(own_site) as second:
        second.ask("wake")
        with User(own_site) as first:
            started_at = first.ask(STARTED_AT)

        assert second.ask(STARTED_AT) == started_at


def test_command_that_comes_and_goes_while_the_watcher_lingers_makes_it_linger_anew(own_site: Site):
    own_site.linger_s = LINGER_S
    with User(own_site) as third:
        third.ask("wake")
        with User(own_site) as second:
            second.ask("wake")
            with User(own_site) as first:
                started_at = first.ask(STARTED_AT)
            time.sleep(0.6 * LINGER_S)
            second.ask(STARTED_AT)
        time.sleep(0.6 * LINGER_S)

        assert third.ask(STARTED_AT) == started_at


def test_server_is_stopped_after_its_user_was_killed(site: Site):
    user = User(site)
    user.ask(STARTED_AT)

    user.kill()

    site.wait_until_stopped()


def test_forked_child_keeps_the_server_running(own_site: Site):
    with User(own_site) as user:
        started_at = user.ask(STARTED_AT)
        child = user.ask("fork")
    time.sleep(0.5)

    with User(own_site) as other:
        assert other.ask(STARTED_AT) == started_at
    assert own_site.server_runs()
    os.kill(child, signal.SIGKILL)
    own_site.wait_until_stopped()


def test_program_started_by_a_user_does_not_keep_the_server_running(own_site: Site):
    with User(own_site) as user:
        user.ask(STARTED_AT)
        program = user.ask("run")

    own_site.wait_until_stopped()
    os.kill(program, signal.SIGKILL)


def test_killed_watcher_is_replaced_by_the_next_user(own_site: Site):
    with User(own_site) as first:
        first.ask(STARTED_AT)
        watcher = _watcher_of(own_site)
        os.kill(watcher, signal.SIGKILL)
        wait_until(lambda: _watcher_of(own_site) is None)

        with User(own_site) as second:
            second.ask(STARTED_AT)

    own_site.wait_until_stopped()


def test_data_is_still_there_after_a_stop(own_site: Site):
    with User(own_site) as user:
        user.ask("CREATE TABLE kept AS SELECT 42 AS number")
    own_site.wait_until_stopped()

    with User(own_site) as user:
        assert user.ask("SELECT number FROM kept") == [42]


@pytest.mark.parametrize(("fast", "fsync"), [("1", "off"), ("0", "on")])
def test_safety_is_given_up_for_tests_only(own_site: Site, fast: str, fsync: str):
    own_site.extra["LOOPWRIGHT_POSTGRES_FAST"] = fast

    with User(own_site) as user:
        assert user.ask("SELECT current_setting('fsync')") == [fsync]


@pytest.mark.parametrize(
    "name", ["a-" + "long-" * 20 + "name", "with,comma", "with space and 'quote"]
)
def test_awkward_data_folder_still_gets_a_socket(own_site: Site, name: str):
    own_site.data = own_site.data / name

    with User(own_site) as user:
        assert user.ask("SELECT 1") == [1]
        assert own_site.places.socket_folder.stat().st_uid == own_site.owner()

    own_site.wait_until_stopped()
    _remove_if_apart(own_site)


def test_dbshell_speaks_to_the_local_server(own_site: Site):
    ran = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "dbshell", "--", "-Atc", "SELECT 40 + 2"],
        capture_output=True,
        **own_site.run_options(),
    )

    assert ran.stdout == "42\n", ran.stderr


def _watcher_of(site: Site) -> int | None:
    ran = subprocess.run(
        ["ps", "-ww", "-eo", "pid=,args="], capture_output=True, text=True, check=True
    )
    for line in ran.stdout.splitlines():
        number, _, command = line.strip().partition(" ")
        if "watch.py" in command and str(site.places.users_lock) in command:
            return int(number)
    return None


def _remove_if_apart(site: Site) -> None:
    folder: Path = site.places.socket_folder
    if not folder.is_relative_to(site.data):
        folder.rmdir()
