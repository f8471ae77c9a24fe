"""When belts of an invented plant stand still, its crews, and the work that is placed there."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.db.models import Max

from plant.models import Conveyor, Plant, User
from plant.roles import Role
from workorders.models import Crew, OrderMove, OutageSeries, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.outages.repeat_rules import Frequency, NthDay, Repeat, rule_text
from workorders.planning.outages.repeats import days_of
from workorders.planning.outages.shifts import WeeklyShift
from workorders.selectors.outage_plan import minutes_wanted
from workorders.services import moving, placing, raising_by_hand
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.outages import absences, crews, series, windows
from workorders.services.outages.absences import AbsenceWanted
from workorders.services.outages.crews import CrewWanted
from workorders.services.outages.series import SeriesWanted
from workorders.services.outages.windows import WindowWanted
from workorders.services.raising_by_hand import WorkWanted

_AFTERNOON = time(16, 10)


def plan_ahead(plant: Plant, cast: Cast, now: datetime) -> None:
    """In the order of the file, by the plant's first planner, yesterday after the last of work."""
    said = read("windows.yaml")
    planning = _Planning(plant, cast.by_role[Role.PLANNER][0], now)
    for kind, do in (
        ("series", planning.begin),
        ("crews", planning.hire),
        ("orders", planning.raise_order),
        ("also", planning.place_open),
        ("changes", planning.change),
    ):
        for one in said[kind]:
            if planning.concerns(one):
                do(one)


class _Planning:
    """`at` goes on by a minute with everything that is written down."""

    def __init__(self, plant: Plant, by: User, now: datetime) -> None:
        self.plant, self.by = plant, by
        self.belts: dict[str, Conveyor] = {one.tag: one for one in plant.conveyors.all()}
        self.series: dict[str, OutageSeries] = {}
        self.crews: dict[str, Crew] = {}
        self.today = plant.day_of(now)
        self.midnight = datetime.combine(self.today, time(), plant.zone_info)
        self.at = self._after_all()

    def concerns(self, said: Mapping[str, Any]) -> bool:
        """Whether an entry is of this plant: by its code, its belt or its series."""
        if "plant" in said:
            return said["plant"] == self.plant.code
        return said["tag"] in self.belts if "tag" in said else said["series"] in self.series

    def _after_all(self) -> datetime:
        """Numbers follow the calendar: after every order and move of the stories."""
        afternoon = datetime.combine(
            self.today - timedelta(days=1), _AFTERNOON, self.plant.zone_info
        )
        orders = WorkOrder.objects.filter(conveyor__plant=self.plant)
        moves = OrderMove.objects.filter(order__conveyor__plant=self.plant)
        last = [
            orders.aggregate(last=Max("raised_at"))["last"],
            moves.aggregate(last=Max("at"))["last"],
        ]
        return max([afternoon, *(one for one in last if one is not None)])

    def _now(self) -> datetime:
        self.at = min(self.at + timedelta(minutes=1), self.midnight)
        return self.at

    def begin(self, said: Mapping[str, Any]) -> None:
        rule, first = _rule_and_first(said, self.today)
        starts_at = datetime.combine(first, time.fromisoformat(said["at"]), self.plant.zone_info)
        wanted = SeriesWanted(
            name=said["name"],
            conveyors=[self.belts[tag] for tag in said["tags"]],
            first_starts_at=starts_at.astimezone(UTC),
            minutes=int(said["hours"] * 60),
            rule=rule_text(rule),
        )
        self.series[said["key"]] = series.begin_series(
            plant=self.plant, wanted=wanted, by=self.by, now=starts_at
        )

    def hire(self, said: Mapping[str, Any]) -> None:
        wanted = CrewWanted(
            said["name"], said["people"], said["skills"], said.get("overtime_minutes", 0)
        )
        shifts = [
            _shift(day, one) for day, text in said["shifts"].items() for one in text.split(", ")
        ]
        crew = crews.add_crew(plant=self.plant, wanted=wanted, shifts=shifts, by=self.by)
        self.crews[crew.name] = crew
        for away in said.get("away", ()):
            starts_at = self._window(away["series"], away["window"]).starts_at
            ends_at = starts_at + timedelta(hours=away["hours"])
            absence = AbsenceWanted(starts_at, ends_at, away["people"], away["why"])
            absences.say_absence(crew_id=crew.pk, wanted=absence, by=self.by, now=self._now())

    def raise_order(self, said: Mapping[str, Any]) -> None:
        due_in = said.get("due_in_days")
        wanted = WorkWanted(
            title=said["title"],
            component=said.get("component", ""),
            work_method=said["method"],
            due_on=self.today + timedelta(days=due_in) if due_in else None,
        )
        belt = self.belts[said["tag"]]
        now = self._now()
        order = raising_by_hand.raise_by_hand(conveyor=belt, wanted=wanted, by=self.by, now=now)
        moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=self.by, now=now)
        if "in" in said:
            self._place(order, said)

    def place_open(self, said: Mapping[str, Any]) -> None:
        """The oldest open order of a belt that stands on no sheet yet, where there is one."""
        open_ones = WorkOrder.objects.filter(
            conveyor=self.belts[said["tag"]],
            state__in=[OrderState.APPROVED, OrderState.SCHEDULED],
            crew__isnull=True,
            waiting_for="",
            case__isnull=False,
        )
        order = open_ones.order_by("raised_at", "pk").first()
        if order is not None:
            self._place(order, said)

    def _place(self, order: WorkOrder, said: Mapping[str, Any]) -> None:
        window = self._window(said["in"], said["window"])
        starts_at = window.starts_at + timedelta(minutes=said.get("after_min", 0))
        ends_at = starts_at + timedelta(minutes=minutes_wanted(order))
        place = placing.Place(self.crews[said["crew"]], window, starts_at, ends_at)
        placing.place_order(order_id=order.pk, place=place, by=self.by, now=self._now())

    def change(self, said: Mapping[str, Any]) -> None:
        window = self._window(said["series"], said["window"])
        asked: dict[str, Any] = {
            "window_id": window.pk,
            "version": None,
            "by": self.by,
            "now": self._now(),
        }
        if "called_off" in said:
            windows.call_off(why=said["called_off"], **asked)
            return
        later = timedelta(hours=said["later_h"])
        belts = list(window.conveyors.all())
        times = (window.starts_at + later, window.ends_at + later)
        windows.change_window(wanted=WindowWanted(said["name"], belts, *times), **asked)

    def _window(self, key: str, number: int) -> OutageWindow:
        """Of a series, counted from the first that begins after tomorrow."""
        from_at = self.midnight + timedelta(days=2)
        rows = self.series[key].windows.filter(first_starts_at__gte=from_at)
        return rows.order_by("first_starts_at")[number]


def _rule_and_first(said: Mapping[str, Any], today: date) -> tuple[Repeat, date]:
    """The first is on the first day of the rule after so many weeks ago."""
    begin = today - timedelta(weeks=said["weeks_ago"])
    day = NthDay(said["weekday"], said.get("nth", 0))
    frequency = Frequency.MONTHLY if day.nth else Frequency.WEEKLY
    rule = Repeat(frequency, interval=said.get("every", 1), days=(day,))
    single = Repeat(frequency, days=(day,))
    days = days_of(single, begin - timedelta(days=1), begin + timedelta(days=62))
    return rule, next(one for one in days if one >= begin)


def _shift(weekday: int, text: str) -> WeeklyShift:
    begins, ends = (time.fromisoformat(one) for one in text.split("-"))
    return WeeklyShift(weekday, begins, ends)
