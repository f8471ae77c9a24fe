"""A worker that does nothing but send, with claims that lapse soon; killed by tests at any moment.

Run as `sender_alone CONNINFO-URL`; ends when its input ends.
"""

import os
import sys
import threading
from datetime import timedelta


def send(database: str) -> None:
    os.environ |= {
        "DATABASE_URL": database,
        "DJANGO_SETTINGS_MODULE": "plant.config.settings",
        "WEBHOOK_PRIVATE_TARGETS": "127.0.0.1",
        "LOG_LEVEL": "ERROR",
    }
    import django

    django.setup()
    from plant import owed
    from plant.services import webhook_claiming, webhook_sending, working

    webhook_claiming.CLAIMED_FOR = timedelta(seconds=3)
    owed._sweeps.clear()
    owed._long_sweeps.clear()
    webhook_sending.backoff.PAUSES_S = (0.2,) * 200
    webhook_sending.backoff.MOST_TRIES = 200
    stop = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), stop.set()), daemon=True).start()
    working.work_until(stop, pause_s=0.1)


if __name__ == "__main__":
    send(sys.argv[1])
