"""What an address must look like to be sent to; where its name leads is asked in networks.py."""

from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import urljoin, urlsplit

LONGEST = 500
_USUAL_PORTS = {"http": 80, "https": 443}
# Below this number other services of a machine live: mail, shells, directories.
_FIRST_FREE_PORT = 1024


class Objection(StrEnum):
    TOO_LONG = "too_long"
    NOT_WRITTEN_OUT = "not_written_out"
    SCHEME = "scheme"
    NO_HOST = "no_host"
    USER = "user"
    PORT = "port"
    FRAGMENT = "fragment"
    DOWNGRADE = "downgrade"


class BadAddress(ValueError):
    def __init__(self, objection: Objection) -> None:
        super().__init__(objection.value)
        self.objection = objection


@dataclass(frozen=True)
class WebAddress:
    """`host` is ASCII and lower case, without the brackets of an IPv6 address."""

    scheme: str
    host: str
    port: int
    target: str

    @property
    def text(self) -> str:
        return f"{self.scheme}://{self.authority}{self.target}"

    @property
    def authority(self) -> str:
        """Host and port, as they stand in an address and in the header Host."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        port = "" if self.port == _USUAL_PORTS[self.scheme] else f":{self.port}"
        return f"{host}{port}"


def read(text: str) -> WebAddress:
    """Take an address apart; raises BadAddress with what is wrong."""
    if len(text) > LONGEST:
        raise BadAddress(Objection.TOO_LONG)
    if any(ord(sign) <= 0x20 or ord(sign) == 0x7F or sign == "\\" for sign in text):
        raise BadAddress(Objection.NOT_WRITTEN_OUT)
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise BadAddress(Objection.PORT if "[" not in text else Objection.NO_HOST) from None
    if parts.scheme not in _USUAL_PORTS:
        raise BadAddress(Objection.SCHEME)
    if "@" in parts.netloc:
        raise BadAddress(Objection.USER)
    if "#" in text:
        raise BadAddress(Objection.FRAGMENT)
    if port is None:
        port = _USUAL_PORTS[parts.scheme]
    if port not in _USUAL_PORTS.values() and port < _FIRST_FREE_PORT:
        raise BadAddress(Objection.PORT)
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    if not target.isascii():
        raise BadAddress(Objection.NOT_WRITTEN_OUT)
    return WebAddress(parts.scheme, _host(parts.hostname or ""), port, target)


def moved_to(address: WebAddress, location: str) -> WebAddress:
    """The address a redirect leads to; raises BadAddress, also when it would give up TLS."""
    try:
        written_out = urljoin(address.text, location)
    except ValueError:
        # Brackets that hold no IPv6 address.
        raise BadAddress(Objection.NO_HOST) from None
    there = read(written_out)
    if address.scheme == "https" and there.scheme != "https":
        raise BadAddress(Objection.DOWNGRADE)
    return there


def _host(name: str) -> str:
    try:
        host = name.encode("idna").decode().lower().rstrip(".")
    except UnicodeError:
        host = ""
    # A zone (fe80::1%eth0) only ever names a neighbour on one wire.
    if not host or "%" in host:
        raise BadAddress(Objection.NO_HOST)
    return host
