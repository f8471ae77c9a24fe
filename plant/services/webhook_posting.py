"""One POST to an address somebody typed, from a machine that can reach more than they can.

The name is resolved once; every address it leads to must be allowed, and the connection goes to
one of those very addresses, so that no second answer of the name service can come in between.
Redirects (307 and 308, which keep a POST what it is) are followed a few times, each looked at the
same way and never from TLS to none. No proxy of the environment is asked. All together is bounded
in time, and what is read of an answer in size.
"""

import ipaddress
import socket
import ssl
import threading
import time
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

import certifi
import httpcore
from django.utils import timezone

from plant.webhooks import addresses, answers, networks
from plant.webhooks.answers import Answer, Fault
from plant.webhooks.networks import Allowed

# What receivers are told: take it in, answer, and work on it afterwards.
WHOLE_S = 10.0
CONNECT_S = 5.0
MOST_READ = 16 * 1024
MOST_SAID = 300
_PIECE = 8 * 1024


class _Refused(Exception):
    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.value)
        self.fault = fault


def post(
    address: str,
    headers: Mapping[str, str],
    body: bytes,
    allowed: Allowed,
    whole_s: float = WHOLE_S,
) -> Answer:
    """Send it and say what came of it; raises nothing that a receiver could bring about."""
    until = time.monotonic() + whole_s
    try:
        there = addresses.read(address)
        for _move in range(answers.MOST_MOVES + 1):
            answer, location = _ask(there, headers, body, _Checked(allowed, until))
            if not location:
                return answer
            there = addresses.moved_to(there, location)
    except addresses.BadAddress as bad:
        return Answer(fault=answers.fault_of(bad.objection))
    except _Refused as refused:
        return Answer(fault=refused.fault)
    except (httpcore.TimeoutException, TimeoutError):
        return Answer(fault=Fault.TOO_SLOW)
    except httpcore.ConnectError as error:
        is_trust = isinstance(error.__cause__ or error.__context__, ssl.SSLError)
        return Answer(fault=Fault.NOT_TRUSTED if is_trust else Fault.NO_CONNECTION)
    except (httpcore.NetworkError, httpcore.ProtocolError, OSError):
        return Answer(fault=Fault.BROKEN_OFF)
    return Answer(fault=Fault.TOO_MANY_MOVES)


def may_be_entered(address: str, allowed: Allowed) -> Fault:
    """What stands against an address as its name leads today; an unknown name may come later."""
    there = addresses.read(address)
    try:
        found = _resolved(there.host, there.port, CONNECT_S)
    except _Refused:
        return Fault.NONE
    is_allowed = all(networks.may_be_asked(one, there.host, allowed) for one in found)
    return Fault.NONE if is_allowed else Fault.NOT_ALLOWED


def _ask(
    there: addresses.WebAddress, headers: Mapping[str, str], body: bytes, network: "_Checked"
) -> tuple[Answer, str]:
    """The answer, and where to ask instead if it sends us on."""
    sent: dict[bytes | str, bytes | str] = {
        # By itself the library leaves the brackets of an IPv6 address out (RFC 9110, 7.2).
        "Host": there.authority,
        "Content-Type": "application/json",
        "User-Agent": "Loopwright webhooks",
        "Connection": "close",
    }
    sent.update(headers.items())
    timeouts = {"connect": CONNECT_S, "read": WHOLE_S, "write": WHOLE_S, "pool": CONNECT_S}
    with (
        httpcore.ConnectionPool(ssl_context=_trusted(), network_backend=network) as pool,
        pool.stream(
            "POST",
            httpcore.URL(there.text),
            headers=sent,
            content=body,
            extensions={"timeout": timeouts},
        ) as response,
    ):
        told = {name.lower(): value.decode("latin-1") for name, value in response.headers}
        if answers.is_move(response.status) and told.get(b"location"):
            return Answer(response.status), told[b"location"]
        said = _beginning(response)
    fault = Fault.MOVED if answers.is_other_redirect(response.status) else Fault.NONE
    asked_s = answers.asked_s(response.status, told.get(b"retry-after", ""), timezone.now())
    return Answer(response.status, fault, said, asked_s), ""


def _beginning(response: httpcore.Response) -> str:
    """Some of the body, for whoever reads the log. The status has been said: it counts."""
    read = b""
    try:
        for part in response.iter_stream():
            read += part
            if len(read) >= MOST_READ:
                break
    except (httpcore.TimeoutException, httpcore.NetworkError, httpcore.ProtocolError):
        pass
    text = read[: MOST_SAID * 4].decode("utf-8", "replace")
    return "".join(sign if sign.isprintable() else " " for sign in text).strip()[:MOST_SAID]


@lru_cache(maxsize=1)
def _trusted() -> ssl.SSLContext:
    """What this machine trusts, a plant's own authority included, and the public ones."""
    context = ssl.create_default_context()
    context.load_verify_locations(certifi.where())
    return context


class _Checked(httpcore.NetworkBackend):
    """Connects only to allowed addresses, and gives nobody more time than there is altogether."""

    def __init__(self, allowed: Allowed, until: float) -> None:
        self._allowed, self._until = allowed, until

    def connect_tcp(
        self,
        host: str,
        port: int,
        timeout: float | None = None,
        local_address: str | None = None,
        socket_options: Iterable[Any] | None = None,
    ) -> httpcore.NetworkStream:
        found = _resolved(host, port, min(CONNECT_S, _left(self._until)))
        if not all(networks.may_be_asked(one, host, self._allowed) for one in found):
            raise _Refused(Fault.NOT_ALLOWED)
        failed: Exception | None = None
        for one in found:
            try:
                patience = min(timeout or CONNECT_S, _left(self._until))
                stream = httpcore.SyncBackend().connect_tcp(str(one), port, patience)
                return _Bounded(stream, self._until)
            except (httpcore.ConnectError, httpcore.ConnectTimeout) as error:
                failed = error
        assert failed is not None
        raise failed


class _Bounded(httpcore.NetworkStream):
    """A receiver that sends a byte now and then is as slow as one that sends none."""

    def __init__(self, stream: httpcore.NetworkStream, until: float) -> None:
        self._stream, self._until = stream, until

    def read(self, max_bytes: int, timeout: float | None = None) -> bytes:
        return self._stream.read(max_bytes, _left(self._until))

    def write(self, buffer: bytes, timeout: float | None = None) -> None:
        # Piece by piece: who takes in slowly has no more time than who answers slowly.
        for start in range(0, len(buffer), _PIECE):
            self._stream.write(buffer[start : start + _PIECE], _left(self._until))

    def close(self) -> None:
        self._stream.close()

    def start_tls(
        self,
        ssl_context: ssl.SSLContext,
        server_hostname: str | None = None,
        timeout: float | None = None,
    ) -> httpcore.NetworkStream:
        safe = self._stream.start_tls(ssl_context, server_hostname, _left(self._until))
        return _Bounded(safe, self._until)

    def get_extra_info(self, info: str) -> Any:
        return self._stream.get_extra_info(info)


def _left(until: float) -> float:
    left = until - time.monotonic()
    if left <= 0:
        raise httpcore.ReadTimeout("out of time")
    return left


def _resolved(host: str, port: int, patience_s: float) -> list[networks.Address]:
    """All addresses of a name. The system's resolver knows no time limit, hence the thread."""
    found: list[Any] = []

    def ask() -> None:
        try:
            found.append(socket.getaddrinfo(host, port, type=socket.SOCK_STREAM))
        except (OSError, UnicodeError):
            found.append([])

    asking = threading.Thread(target=ask, name="resolving a webhook", daemon=True)
    asking.start()
    asking.join(patience_s)
    if not found:
        raise _Refused(Fault.TOO_SLOW)
    texts = dict.fromkeys(str(info[4][0]) for info in found[0])
    if not texts:
        raise _Refused(Fault.NO_SUCH_NAME)
    return [ipaddress.ip_address(text) for text in texts]
