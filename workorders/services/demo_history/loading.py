"""Loads the invented plants once, whole or not at all."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db import connection, transaction
from django.utils.translation import gettext as _

from diagnostics.services import diagnosing
from plant.errors import DomainError
from plant.models import Plant
from workorders.services.demo_history.campaigning import keep_campaigns
from workorders.services.demo_history.cast import call_people
from workorders.services.demo_history.drafting import draft_changes
from workorders.services.demo_history.exchanging import exchange_files
from workorders.services.demo_history.files import read
from workorders.services.demo_history.giving_keys import give_keys
from workorders.services.demo_history.ground import write_plant
from workorders.services.demo_history.handing_over import hand_over
from workorders.services.demo_history.leaving_notes import leave_notes
from workorders.services.demo_history.meter_rounds import read_meters
from workorders.services.demo_history.naming_systems import name_systems
from workorders.services.demo_history.noting_hours import note_hours
from workorders.services.demo_history.planning_ahead import plan_ahead
from workorders.services.demo_history.playing import Teller, play
from workorders.services.demo_history.recording_work import record_work
from workorders.services.demo_history.reporting_months import report_months
from workorders.services.demo_history.rounds import go_rounds
from workorders.services.demo_history.shifting import shift_and_raise
from workorders.services.demo_history.storing import fill_stores
from workorders.services.demo_history.telling_systems import tell_systems
from workorders.services.demo_history.wearing_out import wear_out

SEED = 20
Told = Callable[[str, int, int], None]
# Any number, as long as no other lock of this database has it.
_LOCK = 7_021_611


class CodeBelongsToRealPlant(DomainError):
    code = "code_belongs_to_real_plant"


@dataclass(frozen=True)
class Loaded:
    """`is_new` is False when the plants were there and nothing was done."""

    is_new: bool


@transaction.atomic
def load_demo(*, now: datetime, seed: int = SEED, told: Told | None = None) -> Loaded:
    """Write the invented plants and their history up to last night; a second time does nothing.

    `told` hears of progress: a plant's name, stories told, stories in all.

    Refuses with CodeBelongsToRealPlant. The same seed and day give the same history.
    """
    with connection.cursor() as cursor:
        # Two loaders at once: the second waits here, then finds everything done.
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])
    said = read("plants.yaml")["plants"]
    known = list(Plant.objects.filter(code__in=[one["code"] for one in said]))
    _refuse_real(known)
    if known:
        return Loaded(is_new=False)
    plants = {one["code"]: write_plant(one, now.date()) for one in said}
    casts = call_people(plants)
    # Every story diagnoses its case itself, at its own time.
    with diagnosing.nobody_woken():
        for number, one in enumerate(said):
            teller = Teller(plants[one["code"]], casts[one["code"]], now, (seed, number))
            plant_name = plants[one["code"]].name
            play(
                teller.stories(one.get("unheard", ())),
                told=partial(told, plant_name) if told else None,
            )
    for code, plant in plants.items():
        leave_notes(plant, casts[code], now)
        draft_changes(plant, casts[code], now)
        go_rounds(plant, casts[code], now)
        read_meters(plant, casts[code], now)
        fill_stores(plant, casts[code], now)
        plan_ahead(plant, casts[code], now)
        record_work(plant, casts[code], now)
        shift_and_raise(plant, casts[code], now)
        hand_over(plant, casts[code], now)
        note_hours(plant, casts[code])
        wear_out(plant, casts[code], now)
        keep_campaigns(plant, casts[code], now)
        report_months(plant, casts[code], now)
        name_systems(plant, casts[code], now)
        exchange_files(plant, casts[code], now)
        give_keys(plant, casts[code], now)
        # Last: it tells what changed.
        tell_systems(plant, casts[code], now)
    return Loaded(is_new=True)


def _refuse_real(plants: Iterable[Plant]) -> None:
    for plant in plants:
        if not plant.is_demo:
            raise CodeBelongsToRealPlant(
                _(
                    "%(plant)s has the code %(code)s, which the invented plant needs. "
                    "Load the demo into an empty database."
                )
                % {"plant": plant.name, "code": plant.code}
            )
