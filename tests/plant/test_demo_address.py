import socket
from collections.abc import Iterator

import pytest

from plant.services import demo_address


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen(1)
        yield holder.getsockname()[1]


def test_free_port_is_the_port_used():
    port = demo_address.check("127.0.0.1", 0)

    assert demo_address.check("127.0.0.1", port) == port


def test_taken_port_is_refused_with_one_that_is_free(taken_port: int):
    with pytest.raises(demo_address.PortNotToBeHad) as refusal:
        demo_address.check("127.0.0.1", taken_port)

    assert f"Port {taken_port} on 127.0.0.1 is taken" in str(refusal.value)
    suggested = int(str(refusal.value).rsplit(" ", 1)[1])
    assert suggested != taken_port
    assert demo_address.check("127.0.0.1", suggested) == suggested


@pytest.mark.parametrize("port", [-1, 65536, 99999])
def test_number_that_is_no_port_is_refused_with_the_range(port: int):
    with pytest.raises(demo_address.PortNotToBeHad, match="from 0 to 65535"):
        demo_address.check("127.0.0.1", port)


@pytest.mark.parametrize("host", ["192.0.2.1", "no such name.invalid"])
def test_host_of_another_machine_is_refused(host: str):
    with pytest.raises(demo_address.HostNotHere, match=host):
        demo_address.check(host, 0)


@pytest.mark.parametrize(
    ("host", "name", "bind"),
    [
        ("127.0.0.1", "127.0.0.1", "127.0.0.1:8000"),
        ("0.0.0.0", "localhost", "0.0.0.0:8000"),
        ("::", "localhost", "[::]:8000"),
        ("::1", "[::1]", "[::1]:8000"),
    ],
)
def test_address_is_written_for_browser_and_server(host: str, name: str, bind: str):
    assert demo_address.reachable_name(host) == name
    assert demo_address.for_gunicorn(host, 8000) == bind
