"""The due list of a conveyor is owed anew when something outside its register has changed."""

from django.db.models import F

from workorders.models import DueState


def owe(*, plant_id: int, conveyor_id: int | None = None) -> None:
    """Of one conveyor, or of all of the plant."""
    rows = DueState.objects.filter(conveyor__plant=plant_id)
    if conveyor_id is not None:
        rows = rows.filter(conveyor=conveyor_id)
    # In one order: two who wait for each other would be refused by the database.
    found = list(rows.select_for_update(of=("self",)).order_by("pk").values_list("pk", flat=True))
    DueState.objects.filter(pk__in=found).update(asked=F("asked") + 1)
