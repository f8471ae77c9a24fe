"""`manage.py reckon_faults [--plant CODE]`: the pages' recurring faults, reckoned at once."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from diagnostics.models import FaultReckoning
from diagnostics.reckoning_words import refusal_words
from diagnostics.services import fault_reckoning
from plant.models import Plant


class Command(BaseCommand):
    help = (
        "Reckon the recurring faults of a plant, or of all: its usual period (18 months), all "
        "cause families, running hours where nearly all belts are metered, else calendar time. "
        "The worker does this by itself whenever something has changed."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--plant", metavar="CODE", help="code of the plant; all unless given")

    def handle(self, **options: Any) -> None:
        plants = Plant.objects.order_by("code")
        if (code := options["plant"]) is not None:
            plants = plants.filter(code=code)
            if not plants:
                raise CommandError(f"There is no plant {code!r}.")
        # Every plant has its turn, also after one that came to nothing.
        results = [self._reckon(plant) for plant in plants]
        if not all(results):
            sys.exit(1)

    def _reckon(self, plant: Plant) -> bool:
        row = fault_reckoning.reckon_now(plant, tell=lambda share: self._tell(plant, share))
        if row.refusal:
            self.stderr.write(f"{plant.code}: {refusal_words(row.refusal)}")
            return False
        self.stdout.write(f"{plant.code}: {self._said(row)}")
        return True

    def _tell(self, plant: Plant, share: float) -> None:
        self.stdout.write(f"{plant.code}: {share:.0%}")
        self.stdout.flush()

    def _said(self, row: FaultReckoning) -> str:
        belts, cases = row.belts.count(), row.result.get("events", 0)
        days = f"{row.first_on:%Y-%m-%d} to {row.last_on:%Y-%m-%d}"
        return f"{cases} cases on {belts} belts, {days}, by {row.get_basis_display()}."
