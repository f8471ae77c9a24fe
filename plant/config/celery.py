"""Celery, used only as a wake-up: what is owed stands in tables.

A lost message is made good by the next sweep; a repeated one finds nothing to do.
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "plant.config.settings")

# How often a broker wakes the sweeps: as often as folders of status files are to be looked into.
# With nothing owed a sweep takes a tenth of a second.
SWEEP_EVERY_S = 15.0

app = Celery("loopwright")
app.config_from_object(
    {
        "broker_url": os.environ.get("BROKER_URL") or "memory://localhost",
        # No broker: a task called with delay() runs at once in this process.
        "task_always_eager": not os.environ.get("BROKER_URL"),
        "task_ignore_result": True,
        "task_acks_late": True,
        "broker_connection_retry_on_startup": True,
        # Records are shaped by settings.LOGGING, in the worker too.
        "worker_hijack_root_logger": False,
        "beat_schedule": {
            # One sweep over everything the apps registered in plant/owed.py.
            # One that came too late is dropped: the next one finds the same, and while long work
            # keeps the workers busy they would pile up before everything else.
            "sweep-what-is-owed": {
                "task": "plant.tasks.do_what_is_owed",
                "schedule": SWEEP_EVERY_S,
                "options": {"expires": SWEEP_EVERY_S},
            },
            # Other systems shall hear within seconds.
            "send-what-is-owed": {
                "task": "plant.tasks.send_what_is_owed",
                "schedule": 2.0,
                "options": {"expires": 2.0},
            },
        },
    }
)
app.autodiscover_tasks(["plant", "diagnostics", "workorders"])
