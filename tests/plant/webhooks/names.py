"""A name service that says what a test wants."""

import socket
from collections.abc import Callable
from typing import Any

import pytest

Names = Callable[..., None]


def faked(monkeypatch: pytest.MonkeyPatch) -> Names:
    """Gives names addresses, the next ones each time somebody asks; the last ones stay."""
    known: dict[str, list[list[str]]] = {}
    real = socket.getaddrinfo

    def ask(host: Any, port: Any, *args: Any, **kwargs: Any) -> Any:
        if host not in known:
            return real(host, port, *args, **kwargs)
        answers = known[host]
        found = answers.pop(0) if len(answers) > 1 else answers[0]
        return [line for one in found for line in real(one, port, *args, **kwargs)]

    monkeypatch.setattr(socket, "getaddrinfo", ask)

    def give(host: str, *answers: list[str]) -> None:
        known[host] = list(answers)

    return give
