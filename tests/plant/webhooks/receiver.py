"""A receiver on this machine that answers as a test wants, and remembers what it got."""

import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass
class Got:
    path: str
    headers: dict[str, str]
    body: bytes

    @property
    def change(self) -> dict[str, Any]:
        return json.loads(self.body)

    @property
    def message_id(self) -> str:
        return self.headers["webhook-id"]


# Given how often it was asked before and what it got, writes the answer.
Answers = Callable[["Handler", int], None]


@dataclass
class Receiver:
    """`answers` may be set anew at any time."""

    port: int = 0
    answers: Answers = field(default=lambda handler, _asked: handler.say(204))
    got: list[Got] = field(default_factory=list)

    def address(self, path: str = "/in", host: str = "127.0.0.1") -> str:
        return f"http://{host}:{self.port}{path}"

    @property
    def names(self) -> list[str]:
        """The names the conveyors had in the changes that came."""
        return [one.change["record"]["name"] for one in self.got]


class Handler(BaseHTTPRequestHandler):
    receiver: Receiver

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        headers = {name.lower(): value for name, value in self.headers.items()}
        asked = len(self.receiver.got)
        self.receiver.got.append(Got(self.path, headers, body))
        try:
            self.receiver.answers(self, asked)
        except OSError:
            # Whoever asked has hung up, which is what the test is about.
            self.close_connection = True

    def say(self, status: int, body: bytes = b"", **headers: str) -> None:
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_args: Any) -> None:
        pass


@contextmanager
def receiving(
    wrap: Callable[[Any], Any] = lambda plain: plain, host: str = "127.0.0.1"
) -> Iterator[Receiver]:
    receiver = Receiver()
    handler = type("Bound", (Handler,), {"receiver": receiver})
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    server = type("Server", (ThreadingHTTPServer,), {"address_family": family})((host, 0), handler)
    server.daemon_threads = True
    server.socket = wrap(server.socket)
    receiver.port = server.server_address[1]
    threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}).start()
    try:
        yield receiver
    finally:
        server.shutdown()
        server.server_close()


def statuses(*given: int) -> Answers:
    """One after the other, the last one for good."""
    return lambda handler, asked: handler.say(given[min(asked, len(given) - 1)])


def moved(*to: str, status: int = 307) -> Answers:
    """Sends on to the next address with each request, then takes it."""
    return lambda handler, asked: (
        handler.say(status, Location=to[asked]) if asked < len(to) else handler.say(204)
    )


def hangs(seconds: float) -> Answers:
    def answer(handler: Handler, _asked: int) -> None:
        time.sleep(seconds)
        handler.say(204)

    return answer


def drips(part: bytes, every_s: float, times: int) -> Answers:
    """Bytes without end, as they are: the beginning of an answer, or more of it."""

    def answer(handler: Handler, _asked: int) -> None:
        for _ in range(times):
            handler.wfile.write(part)
            time.sleep(every_s)

    return answer
