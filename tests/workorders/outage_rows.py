"""Series, absences and calendars as tests of windows and crews need them."""

from datetime import datetime, timedelta
from typing import Any

from plant.models import Conveyor, Plant
from tests.workorders import sheet_rows
from tests.workorders.factories import NOW
from tests.workorders.planning.outages.calendars import calendar, event
from workorders.models import CalendarFile, Crew, CrewAbsence, OutageSeries
from workorders.services.outages import absences, calendars, series
from workorders.services.outages.absences import AbsenceWanted
from workorders.services.outages.series import SeriesWanted

# 3 November 2026, a Tuesday, at six in the morning at Halifax.
TUESDAY = NOW.replace(day=3, hour=10, minute=0)
HOUR = timedelta(hours=1)
A_CALENDAR = calendar(event("DTSTART:20261110T060000", "DURATION:PT8H", summary="Shutdown"))


def begin_weekly(*belts: Conveyor, now: datetime = NOW, **fields: Any) -> OutageSeries:
    """Every Tuesday, six to two."""
    defaults = {
        "name": "Quay maintenance day",
        "first_starts_at": TUESDAY,
        "minutes": 480,
        "rule": "FREQ=WEEKLY;BYDAY=TU",
    }
    wanted = SeriesWanted(conveyors=belts, **{**defaults, **fields})
    return series.begin_series(plant=belts[0].plant, wanted=wanted, by=None, now=now)


def say_away(crew: Crew, starts_at: datetime, hours: float = 8, people: int = 1) -> CrewAbsence:
    wanted = AbsenceWanted(starts_at, starts_at + hours * HOUR, people, "training")
    return absences.say_absence(crew_id=crew.pk, wanted=wanted, by=None, now=NOW)


def send(
    plant: Plant, content: bytes, *, now: datetime = NOW, name: str = "Outages", belts: Any = ()
) -> CalendarFile:
    return calendars.send_calendar(
        plant=plant,
        file_name="outages.ics",
        content=content,
        calendar_name=name,
        conveyors=belts,
        by=None,
        now=now,
    )


def of_world(belt: Conveyor) -> dict[str, int]:
    """A row of every kind, by the beginning of the names of its addresses."""
    weekly = begin_weekly(belt)
    crew = sheet_rows.make_crew(belt.plant, name="Belt crew")
    return {
        "window": weekly.windows.all()[0].pk,
        "window-series": weekly.pk,
        "crew": crew.pk,
        "absence": say_away(crew, TUESDAY).pk,
        "calendar": send(belt.plant, A_CALENDAR, belts=[belt]).pk,
    }
