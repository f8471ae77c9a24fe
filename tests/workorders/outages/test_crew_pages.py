"""The pages of crews: their week, who is away, retired and brought back."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.workorders.sheet_rows import make_crew
from workorders.models import Crew, CrewAbsence

pytestmark = pytest.mark.django_db


def test_a_crew_is_added_given_its_week_and_shown(planner, technician, plant):
    form = {"name": "Belt crew", "people": "4", "skills": ["mechanic"], "own_skills": "vulcaniser,",
            "overtime_minutes": "60"}  # fmt: skip
    added = planner.post(reverse("crew-new", args=[plant.code]), form)
    crew = Crew.objects.get()
    week = {"version": "1", "day_0": "6-14, 22:00–06:00", "day_6": "14.30 - 24:00"}

    assert added["Location"] == reverse("crew-shifts", args=[crew.pk])
    assert planner.post(added["Location"], week).status_code == 302

    page = technician.get(reverse("crew", args=[crew.pk])).content.decode()
    for words in ("Belt crew", "4 people", "mechanic, vulcaniser", "on the next day"):
        assert words in page
    assert [str(one) for one in crew.shifts.all()] == [
        "Monday 06:00-14:00",
        "Monday 22:00-06:00",
        "Sunday 14:30-00:00",
    ]
    assert "Belt crew" in technician.get(reverse("crews")).content.decode()


def typed(at, plant) -> str:
    return f"{at.astimezone(plant.zone_info):%Y-%m-%dT%H:%M}"


@pytest.mark.parametrize(
    ("week", "status", "words"),
    [
        ({"day_0": "early"}, 400, "is no shift"),
        ({"day_0": "06:00-24:30"}, 400, "is no shift"),
        ({"day_0": "6-7," * 9}, 400, "At most 6"),
        ({"day_0": "06:00-14:00, 13:00-15:00"}, 409, "share time"),
        ({"day_6": "22:00-06:00", "day_0": "05:00-09:00"}, 409, "share time"),
    ],
)
def test_a_week_that_cannot_be_is_refused_by_its_day(planner, plant, week, status, words):
    crew = make_crew(plant)

    refused = planner.post(reverse("crew-shifts", args=[crew.pk]), {"version": "1", **week})

    assert (refused.status_code, crew.shifts.count()) == (status, 7)
    assert words in refused.content.decode()
    assert "day_0" in refused.context["form"].errors


def test_an_absence_is_said_and_taken_back(planner, technician, plant):
    crew = make_crew(plant)
    soon = timezone.now() + timedelta(days=2)
    form = {"starts_at": typed(soon, plant), "ends_at": typed(soon + timedelta(hours=8), plant),
            "people": "1", "why": "training"}  # fmt: skip
    address = reverse("crew-away", args=[crew.pk])

    assert technician.post(address, form).status_code == 403
    assert planner.post(address, {**form, "people": "7"}).status_code == 409
    assert planner.post(address, form).status_code == 302

    absence = CrewAbsence.objects.get()
    page = technician.get(reverse("crew", args=[crew.pk])).content.decode()
    assert "2 of 3 there" in page
    planner.post(reverse("absence-take-back", args=[absence.pk]))
    absence.refresh_from_db()
    assert absence.taken_back_at is not None
    assert planner.post(reverse("absence-put-back", args=[absence.pk])).status_code == 302


def test_a_crew_is_retired_and_brought_back(planner, plant):
    crew = make_crew(plant, name="Old crew")

    planner.post(reverse("crew-retire", args=[crew.pk]), {"version": "1"})
    assert "Old crew" not in planner.get(reverse("crews")).content.decode()
    assert "Old crew" in planner.get(reverse("crews"), {"which": "retired"}).content.decode()
    planner.post(reverse("crew-bring-back", args=[crew.pk]))
    crew.refresh_from_db()
    assert crew.retired_on is None
