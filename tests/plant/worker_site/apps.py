"""Owed work that leaves a mark, and one piece that always fails."""

import os

from django.apps import AppConfig

from plant import owed


class MarkingConfig(AppConfig):
    name = "tests.plant.worker_site"
    label = "marking"

    def ready(self) -> None:
        owed.register("a piece that fails", fail)
        owed.register("a mark", leave_mark)


def fail() -> int:
    raise RuntimeError("this sweep always fails")


def leave_mark() -> int:
    with open(os.environ["MARK_FILE"], "a") as file:
        file.write("done\n")
    return 1
