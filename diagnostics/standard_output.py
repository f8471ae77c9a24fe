"""Handing a command's answer over, and saying how far it is while it works."""

import os
import sys
import time
from collections.abc import Callable
from typing import Protocol

# What a shell reports of a program ended by a closed pipe, and by Ctrl-C.
PIPE_CLOSED, INTERRUPTED = 128 + 13, 128 + 2
# Where nobody sees a line change, so many lines are enough for any job.
_PLAIN_LINES = 10
# A line on a terminal is not written more often than this. [s]
_TERMINAL_S = 0.1


class Written(Protocol):
    """Where text goes: a stream, or a command's own wrapping of one."""

    def write(self, text: str, /) -> object: ...

    def flush(self) -> None: ...


def hand_over(out: Written, text: str) -> None:
    """Write all of it; a reader who has seen enough (`head`, a pager) ends the command quietly."""
    try:
        out.write(text)
        out.flush()
    except BrokenPipeError:
        # The interpreter flushes once more when it ends; that must not fail again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(PIPE_CLOSED)


class Progress:
    """How much of a job is done: one changing line on a terminal, else a few plain lines.

    Use it around the job; leaving it wipes the changing line.
    """

    def __init__(
        self,
        say: Callable[[str], object],
        *,
        of: int,
        is_terminal: bool,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._say, self._of, self._is_terminal, self._clock = say, of, is_terminal, clock
        self._began_s = self._shown_s = clock()
        self._done = self._width = 0

    def __enter__(self) -> "Progress":
        if self._is_terminal:
            self._rewrite(self._text())
        return self

    def __exit__(self, *_: object) -> None:
        if self._is_terminal:
            self._rewrite("")
            self._say("\r")

    def advance(self) -> None:
        """One more is done."""
        self._done += 1
        now_s = self._clock()
        if not self._is_terminal:
            if self._ends_a_tenth():
                self._say(self._text() + "\n")
        elif now_s - self._shown_s >= _TERMINAL_S:
            self._shown_s = now_s
            self._rewrite(self._text())

    def _ends_a_tenth(self) -> bool:
        tenths = self._done * _PLAIN_LINES // self._of
        return tenths > (self._done - 1) * _PLAIN_LINES // self._of

    def _text(self) -> str:
        text = f"{self._done} of {self._of} cases"
        if not 0 < self._done < self._of:
            return text
        left_s = (self._clock() - self._began_s) / self._done * (self._of - self._done)
        return f"{text}, about {left_s:.0f} s left"

    def _rewrite(self, text: str) -> None:
        # Blanks wipe what a longer line before has left.
        self._say("\r" + text.ljust(self._width))
        self._width = len(text)
