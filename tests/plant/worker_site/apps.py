"""Owed work that leaves a mark, and one piece that always fails."""

import os

from django.apps import AppConfig

from plant import owed
from plant.config.celery import app


class MarkingConfig(AppConfig):
    name = "tests.plant.worker_site"
    label = "marking"

    def ready(self) -> None:
        # So that what runs was woken by a message.
        app.conf.beat_schedule["sweep-what-is-owed"]["schedule"] = 3600.0
        owed.register("a piece that fails", fail)
        owed.register("a mark", leave_mark)


def fail() -> int:
    raise RuntimeError("this sweep always fails")


def leave_mark() -> int:
    with open(os.environ["MARK_FILE"], "a") as file:
        file.write("done\n")
    return 1
