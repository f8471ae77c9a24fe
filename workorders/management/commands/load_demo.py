"""Loads the invented plants Larkwater Terminal and Fennel Quarry with their history."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from plant.errors import DomainError
from workorders.services.demo_history import loading

# A line for so many stories; each takes a good part of a second.
_EVERY = 25


class Command(BaseCommand):
    help = "Loads the invented plants with eighteen months of history; does nothing if loaded."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--seed", type=int, default=loading.SEED, help="Another number, another history."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["seed"] < 0:
            raise CommandError("--seed takes a whole number from 0 on.")
        try:
            loaded = loading.load_demo(
                now=timezone.now(), seed=options["seed"], told=self._tell_progress
            )
        except DomainError as error:
            raise CommandError(str(error)) from error
        if options["verbosity"]:
            self.stdout.write(
                "Loaded Larkwater Terminal and Fennel Quarry, both invented."
                if loaded.is_new
                else "The invented plants are there already; nothing was changed."
            )

    def _tell_progress(self, plant: str, done: int, of: int) -> None:
        if done % _EVERY == 0 or done == of:
            self.stderr.write(f"  {plant}: {done} of {of} stories told")
