"""A process that uses the local database: each line it reads is a statement, each answer JSON.

Run by the tests of the launcher, so that starts, ends and kills are those of real processes. It
sets up no more of Django than a connection needs. Ends when its input does.
"""

import json
import os
import subprocess
import sys
import time

from django.conf import settings
from django.db import connection


def answer(line: str) -> object:
    if line == "wake":
        return connection.vendor  # loads all it takes to connect, and does not
    if line == "close":
        return connection.close()
    if line == "fork":
        return fork_and_stay()
    if line == "run":
        # Leaves the door open for everything that may be inherited.
        return subprocess.Popen(["sleep", "20"], close_fds=False, start_new_session=True).pid
    with connection.cursor() as cursor:
        cursor.execute(line)
        return list(cursor.fetchone()) if cursor.description else None


def fork_and_stay() -> int:
    number = os.fork()
    if number == 0:
        sys.stdin.close()
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        time.sleep(20)
        os._exit(0)
    return number


if __name__ == "__main__":
    settings.configure(
        USE_TZ=True,
        DATABASES={"default": {"ENGINE": "plant.config.local_postgres", "NAME": "loopwright"}},
    )
    for line in sys.stdin:
        try:
            said = {"answer": answer(line.strip())}
        except Exception as error:
            said = {"refused": type(error).__name__, "text": str(error)}
        print(json.dumps(said), flush=True)
