"""Status files left in the folder of a system, and looked for as the worker does."""

from datetime import timedelta
from pathlib import Path

from django.utils import timezone

from plant.models import ExchangeSetting
from tests.workorders import factories
from tests.workorders.exchange_rows import folder
from workorders.models import PickUp, StatusFile, WorkOrder
from workorders.order_states import OrderState
from workorders.services.picking_up import looking


def leave(root: Path, setting: ExchangeSetting, text: str | bytes, name: str = "a.csv") -> Path:
    where = folder(root, setting, "in")
    where.mkdir(parents=True, exist_ok=True)
    content = text.encode() if isinstance(text, str) else text
    (where / name).write_bytes(content)
    return where / name


def look(*, after_s: float = 30) -> int:
    """As if the file had been seen so, and the folder looked at, some time ago."""
    looking._begin_new()
    for one in PickUp.objects.all():
        seen = {name: [*looks[:2], looks[2] - after_s] for name, looks in one.seen.items()}
        ago = timezone.now() - timedelta(seconds=after_s)
        PickUp.objects.filter(pk=one.pk).update(seen=seen, looked_at=ago)
    return looking.look_owed()


def take(
    root: Path, setting: ExchangeSetting, text: str | bytes, name: str = "a.csv"
) -> StatusFile:
    leave(root, setting, text, name)
    look()
    look()
    return StatusFile.objects.latest("pk")


def outcomes(file: StatusFile) -> list[tuple[str, str]]:
    return list(file.rows.values_list("outcome", "code"))


def in_hand(order: WorkOrder) -> WorkOrder:
    return factories.bring_to(order, OrderState.IN_HAND)
