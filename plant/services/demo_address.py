"""Where the demo listens: checked before anything is started."""

import errno
import socket
from collections.abc import Iterable
from ipaddress import IPv4Address, IPv6Address

from plant.errors import DomainError

_HIGHEST_PORT = 65535
_NEIGHBOURS = 50
_WILDCARDS = {"0.0.0.0", "::"}  # noqa: S104  # nosec: compared with, not bound to
LOCAL_HOSTS = {"localhost", "127.0.0.1", "::1"}


class PortNotToBeHad(DomainError):
    code = "port_not_to_be_had"


class HostNotHere(DomainError):
    code = "host_not_here"


def check(host: str, port: int) -> int:
    """The port to use: the one asked for, or any free one for 0.

    Refuses with HostNotHere or PortNotToBeHad, naming a port that is free.
    """
    if not 0 <= port <= _HIGHEST_PORT:
        raise PortNotToBeHad(f"--port takes a number from 0 to {_HIGHEST_PORT}; it got {port}.")
    try:
        return _bound_port(host, port)
    except socket.gaierror:
        raise HostNotHere(f"--host {host} is no name or address this machine knows.") from None
    except OSError as error:
        if error.errno == errno.EADDRNOTAVAIL:
            raise HostNotHere(f"--host {host} is not an address of this machine.") from None
        raise PortNotToBeHad(_why_not(error, host, port)) from None


def reachable_name(host: str) -> str:
    """What to type into a browser on this machine."""
    name = "localhost" if host in _WILDCARDS else host
    return f"[{name}]" if ":" in name else name


def names_for_others(host: str, addresses: Iterable[IPv4Address | IPv6Address]) -> list[str]:
    """What to type elsewhere on the network when the demo listens on all addresses."""
    if host not in _WILDCARDS:
        return [] if host in LOCAL_HOSTS else [reachable_name(host)]
    heard = [one for one in addresses if one.version == 4 or host == "::"]
    return [reachable_name(str(one)) for one in heard if not one.is_loopback]


def for_gunicorn(host: str, port: int) -> str:
    return f"[{host}]:{port}" if ":" in host else f"{host}:{port}"


def _bound_port(host: str, port: int) -> int:
    family, kind, protocol, _name, address = socket.getaddrinfo(
        host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
    )[0]
    with socket.socket(family, kind, protocol) as probe:
        # As the web server does it: a port whose last connections are just closing is free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(address)
        probe.listen(1)
        return int(probe.getsockname()[1])


def _why_not(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        why = f"Port {port} on {host} is taken by another program"
    elif error.errno == errno.EACCES:
        why = f"Port {port} is kept for root"
    else:
        why = f"Port {port} on {host} cannot be opened ({error.strerror})"
    return f"{why}. Try: manage.py demo --port {_free_port(host, port)}"


def _free_port(host: str, port: int) -> int:
    for candidate in range(max(port + 1, 8000), max(port, 8000) + _NEIGHBOURS):
        try:
            return _bound_port(host, candidate)
        except OSError:
            continue
    return _bound_port(host, 0)
