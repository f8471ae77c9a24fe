"""Systems without an API that an invented plant exchanges files with, and what one of them sent."""

import hashlib
from datetime import datetime, time, timedelta
from typing import Any

from plant import acting
from plant.models import ExchangeSetting, Plant
from plant.roles import Role
from plant.services.exchange import keeping
from plant.services.exchange.keeping import Wanted
from workorders.models import StatusFile, StatusRow, WorkOrder
from workorders.services import doing
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read


def exchange_files(plant: Plant, cast: Cast, now: datetime) -> None:
    """Set up yesterday, so that the first files are written as soon as a worker runs."""
    for said in read("exchange.yaml")["exchanges"]:
        if said["plant"] != plant.code:
            continue
        daily_at = said.get("daily_at")
        setting = keeping.set_up(
            plant=plant,
            wanted=Wanted(
                name=said["name"],
                folder=said["folder"],
                feeds=said["feeds"],
                format=said["format"],
                every_minutes=said.get("every_minutes"),
                daily_at=time.fromisoformat(daily_at) if daily_at else None,
                is_on=said.get("is_on", True),
                picks_up=said["picks_up"],
            ),
            begins_with_all=True,
            by=cast.by_role[Role.PLANNER][0],
            now=now - timedelta(days=1),
        )
        if "status_file" in said:
            _send(setting, said["status_file"], now)


def _send(setting: ExchangeSetting, said: dict[str, Any], now: datetime) -> None:
    at = now - timedelta(days=said["days_ago"])
    file = StatusFile.objects.create(
        setting=setting,
        name=said["name"],
        digest=hashlib.sha256(said["name"].encode()).hexdigest(),
        bytes=412,
        state=StatusFile.State.DONE,
        rows_all=len(said["rows"]),
        found_at=at,
        ended_at=at,
        kept_as=said["name"],
    )
    for number, row in enumerate(said["rows"], start=2):
        _answer(file, number, row, at)


def _answer(file: StatusFile, number: int, said: dict[str, Any], at: datetime) -> None:
    order = _order(file.setting.plant, said)
    if order is None and "named" not in said:
        return
    if order is not None and "note" in said:
        with acting.by_files(file.setting):
            doing.add_note(order_id=order.pk, words=said["note"], by=None, now=at)
    named = order.number if order else said["named"]
    StatusRow.objects.create(
        file=file,
        setting=file.setting,
        row_number=number,
        identity=f"{file.digest}:{number}",
        outcome=said["became"],
        order=order,
        order_named=named,
        code=said.get("code", ""),
        why=said.get("why", "").format(number=named),
    )


def _order(plant: Plant, said: dict[str, Any]) -> WorkOrder | None:
    if "state" not in said:
        return None
    rows = WorkOrder.objects.filter(conveyor__plant=plant, state=said["state"])
    place = said["order"] - 1
    return rows.order_by("-raised_at", "-pk")[place : place + 1].first()
