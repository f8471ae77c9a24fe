"""Numbers of cases: one row of numbers for each plant."""

from diagnostics.models import Case
from plant.models import Plant


def next_number(plant_id: int) -> str:
    """The next number of a plant; the caller's transaction keeps the plant's row locked with it."""
    # Of two cases opened at once, the second waits here until the first has its number.
    plant = Plant.objects.select_for_update(no_key=True).get(pk=plant_id)
    stem = f"{plant.code}-C-"
    last = Case.objects.filter(number__startswith=stem).order_by("-pk").first()
    number = int(last.number.removeprefix(stem)) + 1 if last else 1
    return f"{stem}{number:04d}"
