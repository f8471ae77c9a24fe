"""A worker with a process of its own that is killed at a chosen moment.

Run as `dying_worker MOMENT` over the database that DATABASE_URL names.
"""

import os
import signal
import sys
from typing import Any

import django


def die(*_arguments: Any, **_more: Any) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def run(moment: str) -> None:
    django.setup()
    from plant.services.exchange import folders, running, writing

    if moment == "before its name":
        folders.settle = die
    else:
        writing.FeedWriting._keep = die
    running.do_owed()


if __name__ == "__main__":
    run(sys.argv[1])
