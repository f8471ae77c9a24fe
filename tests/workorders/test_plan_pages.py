"""Pages of proposals: who asks, what is told, how one decides, who may not."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from plant.roles import Role
from tests.workorders.pages import client_of
from tests.workorders.plan_rows import ask, make_plannable, worked_out
from workorders.models import PlanRun, WorkOrder
from workorders.services import plan_runs

pytestmark = pytest.mark.django_db


def days(first: int = 0, last: int = 14) -> dict[str, str]:
    today = timezone.now().date()
    return {
        "first_on": (today + timedelta(days=first)).isoformat(),
        "last_on": (today + timedelta(days=last)).isoformat(),
        "moving": "keep",
    }


def page(client, name: str, *args: object, **asked: object) -> str:
    response = client.get(reverse(name, args=args), asked)
    assert response.status_code == 200
    return response.content.decode()


def test_a_planner_asks_watches_reads_and_takes(plant, planner):
    first, second = make_plannable(plant=plant)

    asked = planner.post(reverse("plan-of", args=[plant.code]), days())
    run = PlanRun.objects.get()
    assert asked["Location"] == reverse("plan-run", args=[run.pk])
    assert "Stop, and show the best so far" in page(planner, "plan-run", run.pk)
    plan_runs.do_owed()

    told = page(planner, "plan-run", run.pk)
    assert "Take it: 2 orders change" in told
    assert first.number in told
    assert "none: proved best" in told
    assert "Change 2 orders as proposed?" in page(planner, "plan-run-take", run.pk)

    planner.post(reverse("plan-run-take", args=[run.pk]))
    assert set(WorkOrder.objects.values_list("state", flat=True)) == {"scheduled"}
    assert "2 orders go back" in page(planner, "plan-run-back", run.pk)

    planner.post(reverse("plan-run-back", args=[run.pk]))
    assert set(WorkOrder.objects.values_list("state", flat=True)) == {"approved"}
    assert "taken and put back" in page(planner, "plan-run", run.pk)
    assert second.number in page(planner, "plan-run", run.pk)


def test_ticked_orders_alone_are_taken(plant, planner):
    first, second = make_plannable(plant=plant)
    run = worked_out(plant)

    asked = page(planner, "plan-run-take", run.pk, order=second.number)
    assert "Change 1 order as proposed?" in asked
    assert f'value="{second.number}"' in asked
    planner.post(reverse("plan-run-take", args=[run.pk]), {"order": second.number})

    assert WorkOrder.objects.get(state="scheduled") == second
    assert WorkOrder.objects.get(state="approved") == first


def test_what_changed_since_is_said_before_and_after_taking(plant, planner):
    first, _second = make_plannable(plant=plant)
    run = worked_out(plant)
    WorkOrder.objects.filter(pk=first.pk).update(version=first.version + 1)

    assert "changed since: stays as it is" in page(planner, "plan-run", run.pk)
    assert "these stay as they are" in page(planner, "plan-run-take", run.pk)
    done = planner.post(reverse("plan-run-take", args=[run.pk]), follow=True).content.decode()

    assert "1 order placed." in done
    assert f"{first.number} stays as it is." in done


def test_a_decided_proposal_is_not_taken_twice(plant, planner):
    make_plannable(plant=plant)
    run = worked_out(plant)
    planner.post(reverse("plan-run-leave", args=[run.pk]))

    refused = planner.post(reverse("plan-run-take", args=[run.pk]))

    assert refused.status_code == 409
    assert "decided on already" in refused.content.decode()
    assert "Have it before me again" in page(planner, "plan-run", run.pk)


def test_the_page_says_why_an_order_is_left_out(plant, planner):
    first, _second = make_plannable(plant=plant)
    WorkOrder.objects.filter(pk=first.pk).update(hours=9)

    told = page(planner, "plan-run", worked_out(plant).pk)

    assert "1 order left out, and why" in told
    assert "It takes 9 h; the longest window of its conveyor is 8 h." in told


def test_progress_is_asked_for_until_it_has_ended(plant, planner):
    make_plannable(plant=plant)
    run = ask(plant)
    PlanRun.objects.filter(pk=run.pk).update(
        worked_at=timezone.now(), progress={"aims": {"late": {"best": 12, "bound": 9}}}
    )
    address = reverse("plan-run-progress", args=[run.pk])

    running = planner.get(address)
    assert "HX-Refresh" not in running
    assert "25 %" in running.content.decode().replace("\u202f", " ").replace("\xa0", " ")

    PlanRun.objects.filter(pk=run.pk).update(worked_at=None)
    plan_runs.do_owed()
    assert planner.get(address)["HX-Refresh"] == "true"


def test_stop_is_asked_for_by_a_button(plant, planner):
    run = ask(plant)

    planner.post(reverse("plan-run-stop", args=[run.pk]))

    run.refresh_from_db()
    assert run.state == "stopped"
    assert "before anything was found" in page(planner, "plan-run", run.pk)


@pytest.mark.parametrize(
    ("asked", "status", "words"),
    [
        ({**days(), "first_on": "soon"}, 400, "Enter a valid date"),
        ({**days(), "first_on": ""}, 400, "This field is required"),
        (days(5, 2), 400, "The last day must not be before the first."),
        (days(-9, -2), 409, "That stretch is over."),
        (days(0, 200), 409, "at most 92 days"),
        ({**days(), "moving": "all"}, 400, "Select a valid choice"),
        ({**days(), "last_on": "9999-12-31"}, 400, "between 1950 and 2199"),
    ],
)
def test_bad_dates_are_refused_in_words(plant, planner, asked, status, words):
    response = planner.post(reverse("plan-of", args=[plant.code]), asked)

    assert response.status_code == status
    assert words in response.content.decode()
    assert not PlanRun.objects.exists()


def test_who_does_not_plan_reads_and_decides_nothing(plant, technician):
    make_plannable(plant=plant)
    run = worked_out(plant)

    assert "Take it" not in page(technician, "plan-run", run.pk)
    assert "Work out a proposal" not in page(technician, "plan")
    assert technician.post(reverse("plan-of", args=[plant.code]), days()).status_code == 403
    for name in ("plan-run-take", "plan-run-back", "plan-run-leave", "plan-run-stop"):
        assert technician.post(reverse(name, args=[run.pk])).status_code == 403
    run.refresh_from_db()
    assert run.is_proposed


def test_somebody_without_a_plant_is_told():
    assert "not assigned to a plant" in page(client_of(Role.PLANNER), "plan")


def test_many_places_are_paged_with_a_fixed_number_of_queries(plant, planner):
    make_plannable(3, plant=plant)
    run = worked_out(plant)
    rows, counts = run.result["rows"], []
    page(planner, "plan-run", run.pk)
    for many in (1, 80):
        run.result = {**run.result, "rows": rows * many}
        run.save()
        with CaptureQueriesContext(connection) as asked:
            told = page(planner, "plan-run", run.pk)
        counts.append(len(asked))

    assert counts[0] == counts[1]
    assert "Page 1 of 8" in told
