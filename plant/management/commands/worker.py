"""The background worker: Celery when BROKER_URL is set, else a look at what is owed every 2 s."""

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from plant.config.celery import app
from plant.services import working


class Command(BaseCommand):
    help = "Does the work that pages only order: diagnoses, reminders. Run one or more of them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--concurrency",
            type=int,
            default=4,
            help="With a broker: how many tasks run at once (default 4; up to two of them send).",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.BROKER_URL:
            self._say("Working for the broker.", **options)
            app.worker_main(_celery_arguments(options["concurrency"]))
            return
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        self._say("Working without a broker; Ctrl-C stops after this round.", **options)
        working.work_until(stop)

    def _say(self, line: str, *, verbosity: int, **_options: Any) -> None:
        if verbosity:
            self.stdout.write(line)


def _celery_arguments(concurrency: int) -> list[str]:
    # The plain scheduler keeps no file: the sweep is due soon, whenever it last ran.
    scheduler = "celery.beat.Scheduler"
    beat = ["--beat", "--scheduler", scheduler]
    return ["worker", *beat, "--loglevel", "INFO", "--concurrency", str(concurrency)]
