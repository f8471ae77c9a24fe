"""Under which names others reach the demo."""

import ipaddress
import socket
from types import SimpleNamespace

import psutil
import pytest

from plant.services import demo_address, demo_names

ROUTER = ["192.168.7.20", "10.0.0.5", "fd00::7"]
OWN = [ipaddress.ip_address(one) for one in ROUTER]


def test_this_machine_is_named_by_itself_and_by_what_was_asked_for():
    names = demo_names.names_of_this_machine("Walk.example", "203.0.113.9")

    assert {"localhost", "walk.example", socket.gethostname().lower()} <= set(names.hosts)
    written = {str(one) for one in names.addresses}
    assert {"127.0.0.1", "::1", "203.0.113.9"} <= written


def test_addresses_that_change_by_the_day_are_no_names(monkeypatch: pytest.MonkeyPatch):
    cards = {
        "eth0": [
            SimpleNamespace(family=socket.AF_INET, address="192.168.7.20"),
            SimpleNamespace(family=socket.AF_INET6, address="fd00::7"),
            SimpleNamespace(family=socket.AF_INET6, address="fe80::1%eth0"),
            SimpleNamespace(family=socket.AF_INET6, address="2001:db8::8"),
            SimpleNamespace(family=-1, address="02:00:00:00:00:01"),
        ]
    }
    monkeypatch.setattr(psutil, "net_if_addrs", lambda: cards)

    names = demo_names.names_of_this_machine()

    written = [str(one) for one in names.addresses]
    assert written == ["127.0.0.1", "192.168.7.20", "::1", "fd00::7"]


@pytest.mark.parametrize(
    "word", ["*", "", "0.0.0.0", "::", ".example", "-x", "a b", "x" * 300, "förder", "fe80::1"]
)
def test_what_no_certificate_can_name_is_left_out(word: str):
    names = demo_names.names_from(["localhost", word], [])

    assert names.hosts == ("localhost",)
    assert [str(one) for one in names.addresses] == ["127.0.0.1", "::1"]


def test_names_are_written_as_the_setting_takes_them():
    names = demo_names.names_from(["belts", "[::1]"], OWN)

    assert names.as_allowed_hosts() == "belts,10.0.0.5,127.0.0.1,192.168.7.20,[::1],[fd00::7]"


@pytest.mark.parametrize(
    ("host", "said"),
    [
        ("127.0.0.1", []),
        ("localhost", []),
        ("192.168.7.20", ["192.168.7.20"]),
        ("0.0.0.0", ["192.168.7.20", "10.0.0.5"]),
        ("::", ["192.168.7.20", "10.0.0.5", "[fd00::7]"]),
    ],
)
def test_others_are_told_the_addresses_the_demo_listens_on(host: str, said: list[str]):
    assert demo_address.names_for_others(host, [*demo_names.LOOPBACK, *OWN]) == said
