"""Crews, their week, who is away; what a change breaks is asked first."""

from datetime import date, time, timedelta

import pytest

from plant.services.register_refusals import StaleForm
from tests.workorders.factories import NOW, make_conveyor, make_plant
from tests.workorders.outage_rows import say_away
from tests.workorders.sheet_rows import TOMORROW, make_approved, make_crew, make_window, place_in
from workorders.models import Crew
from workorders.planning.outages.shifts import WeeklyShift
from workorders.selectors.outages import crews as selector
from workorders.services import placing
from workorders.services.outages import absences, crews
from workorders.services.outages.absences import AbsenceWanted
from workorders.services.outages.crews import CrewWanted
from workorders.services.outages.weighing import AsksFirst

pytestmark = pytest.mark.django_db
_WANTED = CrewWanted("Belt crew", 4, ["mechanic", "belt jointer"], 60)
_NIGHT = WeeklyShift(6, time(22), time(6))


def placed_with(crew: Crew, people: int = 2):
    order = make_approved(make_conveyor(crew.plant))
    order.people = people
    order.save()
    window = make_window(order.conveyor)
    return placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)


def test_a_crew_is_added_with_its_week():
    crew = crews.add_crew(plant=make_plant(), wanted=_WANTED, shifts=[_NIGHT], by=None)

    assert (crew.people, crew.skills, crew.overtime_minutes) == (
        4,
        ["mechanic", "belt jointer"],
        60,
    )
    assert [str(one) for one in crew.shifts.all()] == ["Sunday 22:00-06:00"]


def test_two_crews_of_a_plant_have_two_names():
    plant = make_plant()
    crews.add_crew(plant=plant, wanted=_WANTED, by=None)
    other = crews.add_crew(plant=plant, wanted=CrewWanted("Night crew", 2, []), by=None)

    with pytest.raises(crews.CrewNameTaken):
        crews.add_crew(plant=plant, wanted=CrewWanted("BELT crew", 1, []), by=None)
    with pytest.raises(crews.CrewNameTaken):
        crews.change_crew(crew_id=other.pk, wanted=_WANTED, version=1, by=None, now=NOW)
    crews.add_crew(plant=make_plant(), wanted=_WANTED, by=None)


def test_shifts_that_share_time_are_refused_and_the_week_stays():
    crew = make_crew(make_plant())

    with pytest.raises(crews.ShiftsOverlap, match="Monday") as refused:
        crews.set_shifts(
            crew_id=crew.pk,
            shifts=[_NIGHT, WeeklyShift(0, time(5), time(13))],
            version=1,
            by=None,
            now=NOW,
        )

    assert refused.value.field == "day_0"
    assert crew.shifts.count() == 7


def test_a_shorter_week_asks_first_about_the_work_outside_it():
    crew = make_crew(make_plant())
    order = placed_with(crew)
    shorter = {"crew_id": crew.pk, "shifts": [_NIGHT], "version": 1, "by": None, "now": NOW}

    with pytest.raises(AsksFirst) as asked:
        crews.set_shifts(**shorter, seen="")
    assert crew.shifts.count() == 7
    assert [one.order for one in asked.value.consequences.unfit] == [order]

    crews.set_shifts(**shorter, seen=asked.value.consequences.mark)
    assert crew.shifts.count() == 1


def test_an_absence_asks_first_about_work_that_wants_more_people_than_are_left():
    crew = make_crew(make_plant(), people=3)
    order = placed_with(crew, people=2)

    def away(people: int, seen: str):
        wanted = AbsenceWanted(TOMORROW, TOMORROW + timedelta(hours=8), people, "training")
        return absences.say_absence(crew_id=crew.pk, wanted=wanted, by=None, now=NOW, seen=seen)

    away(1, "")
    with pytest.raises(AsksFirst) as asked:
        away(1, "")
    assert [one.order for one in asked.value.consequences.unfit] == [order]
    assert crew.absences.count() == 1
    absence = away(1, asked.value.consequences.mark)

    absences.take_back(absence_id=absence.pk, now=NOW)
    with pytest.raises(AsksFirst):
        absences.put_back(absence_id=absence.pk, now=NOW, seen="")
    absence.refresh_from_db()
    assert absence.taken_back_at == NOW


@pytest.mark.parametrize(
    ("begins", "hours", "people", "field"),
    [
        (TOMORROW, 0, 1, "ends_at"),
        (TOMORROW, 9000, 1, "ends_at"),
        (NOW - timedelta(hours=9), 8, 1, "ends_at"),
        (NOW + timedelta(days=4000), 8, 1, "starts_at"),
        (TOMORROW, 8, 4, "people"),
    ],
)
def test_an_absence_that_cannot_be_is_refused_by_field(begins, hours, people, field):
    crew = make_crew(make_plant(), people=3)

    with pytest.raises(absences.AbsenceRefused) as refused:
        say_away(crew, begins, hours, people)

    assert refused.value.field == field
    assert not crew.absences.exists()


def test_a_crew_is_retired_with_its_work_marked_and_brought_back():
    crew = make_crew(make_plant())
    order = placed_with(crew)
    retire = {"crew_id": crew.pk, "on": NOW.date(), "version": 1, "by": None, "now": NOW}

    with pytest.raises(AsksFirst) as asked:
        crews.retire_crew(**retire, seen="")
    crews.retire_crew(**retire, seen=asked.value.consequences.mark)
    with pytest.raises(crews.CrewIsRetired):
        crews.change_crew(crew_id=crew.pk, wanted=_WANTED, version=2, by=None, now=NOW)

    order.refresh_from_db()
    assert order.crew == crew
    assert crews.bring_back(crew_id=crew.pk, by=None).retired_on is None


def test_of_two_planners_changing_a_crew_the_second_is_told():
    crew = make_crew(make_plant())
    change = {"crew_id": crew.pk, "version": 1, "by": None, "now": NOW}
    crews.change_crew(wanted=_WANTED, **change)

    with pytest.raises(StaleForm):
        crews.set_shifts(shifts=[], **change)


def test_the_coming_fortnight_says_who_is_there_day_by_day(django_assert_num_queries):
    crew = make_crew(make_plant(), people=3)
    order = placed_with(crew)
    say_away(crew, TOMORROW, hours=4, people=1)
    say_away(crew, TOMORROW + timedelta(hours=2), hours=30, people=1)

    crew = Crew.objects.select_related("plant").prefetch_related("shifts").get()
    with django_assert_num_queries(2):
        days = selector.coming_days(crew, NOW)

    assert [one.day for one in days] == [date(2026, 11, 2) + timedelta(n) for n in range(14)]
    assert [one.there for one in days[:4]] == [3, 1, 2, 3]
    assert [one.orders for one in days[:3]] == [(), (order,), ()]
    assert all(len(one.shifts) == 1 for one in days)
