"""The due list of a conveyor is owed anew when something outside its register has changed."""

from workorders.models import DueState


def owe(*, plant_id: int, conveyor_id: int | None = None) -> None:
    """Of one conveyor, or of all of the plant.

    Waits for whoever reckons just now: what they read is old, and their end would hide this.
    """
    rows = DueState.objects.filter(conveyor__plant=plant_id)
    if conveyor_id is not None:
        rows = rows.filter(conveyor=conveyor_id)
    # In one order, as two who wait for each other would be refused by the database.
    found = list(rows.select_for_update(of=("self",)).order_by("pk").values_list("pk", flat=True))
    DueState.objects.filter(pk__in=found).update(reckoned_at=None)
