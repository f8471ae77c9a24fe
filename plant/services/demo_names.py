"""The names and addresses under which others reach this machine, for the demo's certificate."""

import ipaddress
import re
import socket
from collections.abc import Iterable
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, IPv6Network

import psutil

Address = IPv4Address | IPv6Address

LOOPBACK = (IPv4Address("127.0.0.1"), IPv6Address("::1"))
_LOCAL_IPV6 = IPv6Network("fc00::/7")
# What a certificate can say; a name beyond it is reached by its address.
_HOST = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*")
_LONGEST_HOST = 253


@dataclass(frozen=True)
class Names:
    """Host names in small letters, and addresses; each once, in a steady order."""

    hosts: tuple[str, ...]
    addresses: tuple[Address, ...]

    def as_allowed_hosts(self) -> str:
        """As the setting ALLOWED_HOSTS takes them."""
        written = (f"[{one}]" if one.version == 6 else str(one) for one in self.addresses)
        return ",".join([*self.hosts, *written])


def names_of_this_machine(*asked_for: str) -> Names:
    """The machine's own names and those asked for by the command or a setting.

    `localhost` and the loopback addresses are always among them.
    """
    machine = socket.gethostname().lower()
    local = [] if "." in machine else [f"{machine}.local"]
    return names_from(["localhost", machine, *local, *asked_for], _own_addresses())


def names_from(words: Iterable[str], addresses: Iterable[Address]) -> Names:
    """Sort words into hosts and addresses; what is neither (a wildcard, say) is left out."""
    hosts, found = set(), {*LOOPBACK, *addresses}
    for word in (one.strip().strip("[]").lower() for one in words):
        try:
            found.add(ipaddress.ip_address(word))
        except ValueError:
            if _HOST.fullmatch(word) and len(word) <= _LONGEST_HOST:
                hosts.add(word)
    usable = [one for one in found if not (one.is_unspecified or one.is_link_local)]
    return Names(
        hosts=tuple(sorted(hosts)),
        addresses=tuple(sorted(usable, key=lambda one: (one.version, int(one)))),
    )


def _own_addresses() -> list[Address]:
    kinds = {socket.AF_INET, socket.AF_INET6}
    cards = psutil.net_if_addrs().values()
    written = [one.address for card in cards for one in card if one.family in kinds]
    # A link-local address ends with its card ("fe80::1%eth0"), which no browser can be told.
    found = [ipaddress.ip_address(one) for one in written if "%" not in one]
    # Public ones of IPv6 change by the day, and the root would have to be trusted anew each time.
    return [one for one in found if one.version == 4 or one in _LOCAL_IPV6]
