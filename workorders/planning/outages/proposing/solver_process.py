"""Programs that solve, kept for the next question: starting one costs most of a second."""

import atexit
import json
import logging
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

logger = logging.getLogger(__name__)

PROGRAM = str(Path(__file__).with_name("solver_program.py"))
_PATIENCE_S = 5.0

# Hears lines of the program and, between them, silence; see solver_program.py.
Hear = Callable[[dict[str, Any]], None]
GoesOn = Callable[[], bool]

_idle: "list[SolverProcess]" = []
_lock = threading.Lock()


class SolverDied(Exception):
    """The program ended before it answered; the message says how."""


class SolverProcess:
    """One program; it answers one question at a time."""

    def __init__(self) -> None:
        self.owner = os.getpid()
        # -P: the folder of the program is no place to import from.
        self._process = subprocess.Popen(  # noqa: S603  # nosec: fixed arguments, no shell
            [sys.executable, "-P", PROGRAM],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._lines: SimpleQueue[str] = SimpleQueue()
        threading.Thread(target=self._read, daemon=True).start()

    @property
    def is_ready(self) -> bool:
        """Whether it lives, and is ours: after a fork it is the parent's."""
        return self.owner == os.getpid() and self._process.poll() is None

    def ask(self, question: dict[str, Any], hear: Hear, goes_on: GoesOn, every_s: float) -> None:
        """Returns after the answer; `goes_on` is asked again and again, False stops the search.

        Raises
        ------
        SolverDied
            It ended without an answer.
        """
        self._say(json.dumps(question))
        is_stopped = False
        while True:
            if not is_stopped and not goes_on():
                is_stopped = True
                self._say("stop")
            try:
                line = self._lines.get(timeout=every_s)
            except Empty:
                continue
            # Cut short in the middle of a line, or at its end.
            if not line.endswith("\n"):
                raise SolverDied(f"exit status {self._process.wait(_PATIENCE_S)}")
            said = json.loads(line)
            hear(said)
            if "solution" in said:
                return

    def end(self) -> None:
        self._process.kill()
        self._process.wait(_PATIENCE_S)
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                pipe.close()

    def _say(self, line: str) -> None:
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(line + "\n")
            self._process.stdin.flush()
        except BrokenPipeError as gone:
            raise SolverDied(f"exit status {self._process.wait(_PATIENCE_S)}") from gone

    def _read(self) -> None:
        assert self._process.stdout is not None
        try:
            for line in self._process.stdout:
                self._lines.put(line)
        except ValueError:
            # Closed while it was read.
            pass
        self._lines.put("")


def ask(question: dict[str, Any], hear: Hear, goes_on: GoesOn, every_s: float) -> None:
    """Put a question to a program that is free, or to a new one.

    Raises
    ------
    SolverDied
        It ended without an answer; the next question gets a new one.
    """
    process = _taken()
    try:
        process.ask(question, hear, goes_on, every_s)
    except BaseException:
        process.end()
        raise
    with _lock:
        _idle.append(process)


def _taken() -> SolverProcess:
    with _lock:
        ready = [one for one in _idle if one.is_ready]
        _idle[:] = ready[1:]
    return ready[0] if ready else SolverProcess()


@atexit.register
def end_idle() -> None:
    with _lock:
        for one in _idle:
            if one.owner == os.getpid():
                one.end()
        _idle.clear()
