"""A system that gets and leaves files, as tests set it up."""

from pathlib import Path
from typing import Any

from plant.models import ExchangeRun, ExchangeSetting, Feed, Plant
from plant.services.exchange import asking, keeping, running
from plant.services.exchange.keeping import Wanted
from tests.workorders.factories import NOW
from workorders.models import StatusFile


def wanted(**instead: Any) -> Wanted:
    usual: dict[str, Any] = {
        "name": "Stores system",
        "folder": "stores",
        "feeds": [Feed.WORK_ORDERS.value],
        "format": "jsonl",
        "every_minutes": 15,
        "daily_at": None,
    }
    return Wanted(**{**usual, **instead})


def set_up(plant: Plant, *, begins_with_all: bool = False, **instead: Any) -> ExchangeSetting:
    return keeping.set_up(
        plant=plant,
        wanted=wanted(**instead),
        begins_with_all=begins_with_all,
        by=None,
        now=NOW,
    )


def run(setting: ExchangeSetting, **ask: Any) -> ExchangeRun:
    """Asked for and done; asked by nobody, one that finds nothing new leaves no row."""
    asked = asking.ask(setting_id=setting.pk, **{"by": None, "now": NOW, **ask})
    running.do_owed()
    return ExchangeRun.objects.filter(pk=asked.pk).first() or asked


def folder(root: Path, setting: ExchangeSetting, name: str = "out") -> Path:
    return root / setting.plant.code / setting.folder / name


def names(root: Path, setting: ExchangeSetting, name: str = "out") -> list[str]:
    where = folder(root, setting, name)
    return sorted(one.name for one in where.iterdir()) if where.exists() else []


def of_world(plant: Plant) -> dict[str, Any]:
    """A row of each kind, for the walk over all pages."""
    setting = set_up(plant)
    made = ExchangeRun.objects.create(setting=setting, asked_at=NOW, state=ExchangeRun.State.DONE)
    file = StatusFile.objects.create(
        setting=setting, name="status.csv", digest="0", bytes=1, found_at=NOW, state="done"
    )
    return {"exchange": setting.pk, "exchange-run": made.pk, "status-file": file.pk}
