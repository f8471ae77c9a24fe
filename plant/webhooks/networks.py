"""Which machines may be sent to: those of the public internet, and what was allowed by name.

Whoever may enter an address could otherwise make this machine ask others that only it can reach.
Refused first: private, loopback, link-local, shared, documentation, multicast and reserved ranges
of the IANA special-purpose registries (as Python's ipaddress knows them), and every way of
writing such an IPv4 address within an IPv6 one.
"""

import ipaddress
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network

# RFC 6052 section 2.1: the last 32 bits are an IPv4 address that a translator will ask.
_NAT64 = ipaddress.IPv6Network("64:ff9b::/96")
# RFC 4291 section 2.5.5.1, deprecated: an IPv4 address after 96 zeros.
_COMPATIBLE = ipaddress.IPv6Network("::/96")
# IANA's registry of IPv6 global unicast addresses gives out nothing else. What lies beside it
# (translators of a site, overlays, site-local addresses) leads to machines near us or nowhere.
_GIVEN_OUT = ipaddress.IPv6Network("2000::/3")
# RFC 9637, which older tables do not know: for documents.
_DOCUMENTS = ipaddress.IPv6Network("3fff::/20")
# RFC 6890: of protocols; and RFC 7526, deprecated: relays to IPv6, answered by whoever is nearest.
_NO_HOSTS = (ipaddress.IPv4Network("192.0.0.0/24"), ipaddress.IPv4Network("192.88.99.0/24"))


@dataclass(frozen=True)
class Allowed:
    """Networks and names of hosts that may be sent to although they are not public."""

    networks: tuple[Network, ...] = ()
    hosts: frozenset[str] = frozenset()


NOTHING = Allowed()


def read_allowed(words: Iterable[str]) -> Allowed:
    """Networks (10.20.0.0/16), addresses and names of hosts; raises ValueError naming the word."""
    networks: list[Network] = []
    hosts: set[str] = set()
    for word in words:
        try:
            networks.append(ipaddress.ip_network(word))
        except ValueError:
            if not _is_name(word):
                raise ValueError(word) from None
            hosts.add(word.lower().rstrip("."))
    return Allowed(tuple(networks), frozenset(hosts))


def may_be_asked(address: Address, host: str, allowed: Allowed) -> bool:
    """Whether a machine at this address may be sent to when the target is called `host`.

    A name that is allowed may lead to private addresses, yet never to link-local ones, where
    machines ask for their own secrets; those need the network itself.
    """
    reached = list(_reached(address))
    if any(one.is_multicast or one.is_unspecified for one in reached):
        return False
    if host in allowed.hosts:
        return all(_is_listed(one, allowed) or not _is_no_host(one) for one in reached)
    return all(_is_listed(one, allowed) or _is_public(one) for one in reached)


def _reached(address: Address) -> Iterator[Address]:
    """The address and any IPv4 address that is meant by it."""
    yield address
    if isinstance(address, ipaddress.IPv4Address):
        return
    embedded = [address.ipv4_mapped, address.sixtofour, *(address.teredo or ())]
    # ::1 looks like one, and means this machine and nothing else.
    if address in _NAT64 or (address in _COMPATIBLE and not address.is_loopback):
        embedded.append(ipaddress.IPv4Address(int(address) & 0xFFFFFFFF))
    yield from (one for one in embedded if one is not None)


def _is_public(address: Address) -> bool:
    if isinstance(address, ipaddress.IPv4Address):
        is_host = not any(address in network for network in _NO_HOSTS)
        return address.is_global and not address.is_reserved and is_host
    # Beside a mapped address only the meant one can be public; it is looked at by itself.
    if address.ipv4_mapped is not None:
        return True
    is_given_out = address in _GIVEN_OUT and address.is_global and address not in _DOCUMENTS
    return is_given_out or address in _NAT64


def _is_listed(address: Address, allowed: Allowed) -> bool:
    return any(
        address.version == network.version and address in network for network in allowed.networks
    )


def _is_no_host(address: Address) -> bool:
    return address.is_link_local or address.is_reserved


def _is_name(word: str) -> bool:
    labels = word.rstrip(".").split(".")
    # All digits and dots would be a mistyped address, not a name.
    is_number = all(label.isdigit() for label in labels)
    return not is_number and all(
        0 < len(label) <= 63 and label.replace("-", "").replace("_", "").isalnum()
        for label in labels
    )
