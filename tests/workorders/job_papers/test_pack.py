"""The pack of a window: cover, one isolation per belt, then the sheets in their order."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant import camera
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders.job_papers import reading
from tests.workorders.pages import address, client_of
from tests.workorders.sheet_rows import make_approved, make_crew, make_window
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors.job_papers import pack, rows
from workorders.selectors.job_papers.pack import jobs_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def window(plant: Plant) -> OutageWindow:
    quay = make_complete_conveyor(plant, tag="Q30", isolation_points=["Isolator Q30-M1, lock 1"])
    yard = make_complete_conveyor(plant, tag="Y1")
    return make_window(quay, yard)


def place(
    window: OutageWindow, tag: str, title: str, after_h: float, crew: Crew | None = None
) -> WorkOrder:
    order = make_approved(window.conveyors.get(tag=tag), title)
    begins = window.starts_at + timedelta(hours=after_h)
    WorkOrder.objects.filter(pk=order.pk).update(
        state=OrderState.SCHEDULED,
        window=window,
        crew=crew,
        planned_for=begins,
        planned_until=begins + timedelta(hours=1),
    )
    order.refresh_from_db()
    return order


def pack_address(window: OutageWindow) -> str:
    return reverse("paper-window-pack", args=[window.pk])


def pages_of(client: Client, window: OutageWindow, **asked: object) -> list[str]:
    response = client.get(pack_address(window), asked)
    assert response.status_code == HTTPStatus.OK, response.content
    return reading.pages_of(response.content)


def test_a_belt_is_isolated_once_for_all_its_jobs(planner: Client, window: OutageWindow):
    late = place(window, "Q30", "Train the idlers", 3)
    early = place(window, "Q30", "Square the frame", 0.5)
    other = place(window, "Y1", "Lag the pulley", 1)

    words = " ".join(pages_of(planner, window))
    cover = words[: words.index("Job sheet LT-W-")]

    assert cover.count("Isolator Q30-M1, lock 1") == 1
    assert (
        f"Shared by {early.number}, {late.number}; first to last: 2026-11-03 11:00–14:30" in cover
    )
    assert f"Shared by {other.number};" in cover
    assert "The register names no isolation points" in cover
    order_of_jobs = cover[cover.index("Order of jobs") :]
    titles = ("Square the frame", "Lag the pulley", "Train the idlers")
    assert sorted(titles, key=order_of_jobs.index) == list(titles)


def test_the_code_on_the_cover_leads_to_the_window(planner: Client, window: OutageWindow):
    place(window, "Q30", "Own", 1)

    answer = planner.get(pack_address(window))

    assert camera.codes_of_pdf(answer.content)[0] == [
        f"http://testserver{reverse('window', args=[window.pk])}"
    ]


def test_sheets_follow_in_their_order_and_count_their_own_pages(planner, window):
    late, early = place(window, "Q30", "Later", 3), place(window, "Q30", "Sooner", 1)

    pages = pages_of(planner, window)

    firsts = [page for page in pages if "Job sheet LT-W-" in page]
    assert [early.number in firsts[0], late.number in firsts[1]] == [True, True]
    assert all("1 of" in page for page in firsts)
    for number, page in enumerate(pages, start=1):
        assert f"{number} of {len(pages)} in the pack" in page


def test_a_crew_takes_only_its_own_sheets(planner, window, plant):
    crew = make_crew(plant, "Night crew")
    own, other = place(window, "Q30", "Own", 1, crew), place(window, "Q30", "Other", 2)

    words = " ".join(pages_of(planner, window, crew=crew.pk))

    assert own.number in words
    assert other.number not in words
    assert "Night crew (3 people, 1 job)" in words


@pytest.mark.parametrize("crew", ["x", "0", "999999999", "9" * 30, "²"])
def test_a_crew_that_is_not_there_is_not_found(planner, window, crew):
    place(window, "Q30", "Own", 1)

    assert planner.get(pack_address(window), {"crew": crew}).status_code == HTTPStatus.NOT_FOUND


def test_a_window_without_jobs_says_what_to_do(planner, window):
    done = place(window, "Q30", "Done", 1)
    WorkOrder.objects.filter(pk=done.pk).update(state=OrderState.DONE)

    answer = planner.get(pack_address(window))

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "Place orders in it first" in answer.text


def test_more_jobs_than_a_pack_holds_are_refused_with_a_way_out(planner, window, monkeypatch):
    monkeypatch.setattr(pack, "MOST_JOBS", 1)
    for number in range(2):
        place(window, "Q30", f"Job {number}", number)

    answer = planner.get(pack_address(window))

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "2 jobs; a pack holds at most 1. Print one crew at a time." in answer.text


def test_a_window_that_is_called_off_says_so_first(planner, window):
    place(window, "Q30", "Own", 1)
    window.called_off_at, window.called_off_why = window.starts_at, "ship came early"
    window.save()

    words = " ".join(pages_of(planner, window))

    assert words.index("CALLED OFF: ship came early") < words.index("Before anything else")
    # On the sheet of the job, too: it may be handed out by itself.
    assert words.count("CALLED OFF: ship came early. Nothing here may begin") == 2


def test_another_plants_pack_is_not_there(window):
    place(window, "Q30", "Own", 1)
    elsewhere = client_of(Role.ADMINISTRATOR, make_plant())

    assert elsewhere.get(pack_address(window)).status_code == HTTPStatus.NOT_FOUND


def test_many_jobs_take_no_more_queries(window, django_assert_num_queries):
    place(window, "Q30", "First", 0)

    def read() -> None:
        records = rows.records_of(jobs_of(window), window.starts_at)
        assert all(one.steps is not None and one.parts == [] for one in records)

    read()
    with django_assert_num_queries(6):
        read()
    for number in range(6):
        place(window, "Y1", f"Job {number}", number)
    with django_assert_num_queries(6):
        read()


def test_the_page_of_papers_offers_the_pack_of_each_crew(planner, window, plant):
    window.ends_at += timedelta(days=4000)
    window.save()
    day, night = make_crew(plant, "Day crew"), make_crew(plant, "Night crew")
    for number, crew in enumerate((day, night, night)):
        place(window, "Q30", f"Job {number}", number, crew)

    page = planner.get(reverse("papers")).text

    assert "3 jobs to do" in page
    assert f'href="{pack_address(window)}"' in page
    assert f'href="{pack_address(window)}?crew={night.pk}">Night crew (2)</a>' in page


def test_a_window_without_jobs_asks_to_place_some_first(planner, window):
    window.ends_at += timedelta(days=4000)
    window.save()

    page = planner.get(reverse("papers")).text

    assert window.name not in page
    assert "Place approved orders first" in page


def test_windows_of_another_plant_are_not_listed(planner, window):
    place(window, "Q30", "Own", 1)
    window.ends_at += timedelta(days=4000)
    window.save()

    page = client_of(Role.PLANNER, make_plant()).get(reverse("papers")).text

    assert window.name not in page
    assert window.name in planner.get(reverse("papers")).text


def test_the_order_page_names_no_sheet_of_another_order(planner, window):
    first, second = place(window, "Q30", "First", 0), place(window, "Q30", "Second", 1)

    page = planner.get(address("order", first)).text

    assert address("order-sheet", second) not in page


def test_hostile_names_are_set_as_words(planner, window, plant):
    nasty = '#panic("x") *b* $x$ \\ // 🦺'
    crew = make_crew(plant, nasty)
    place(window, "Q30", nasty, 1, crew)
    window.conveyors.update(name=nasty, isolation_points=[nasty, "w" * 200], area=nasty)
    OutageWindow.objects.filter(pk=window.pk).update(name=nasty)

    words = " ".join(pages_of(planner, window))

    assert words.count('#panic("x") *b* $x$ \\ //') > 6
    assert "safety vest" in words


def test_a_person_without_a_plant_finds_an_empty_page():
    answer = client_of(Role.PLANNER).get(reverse("papers"))

    assert answer.status_code == HTTPStatus.OK
    assert "There is no crew yet" in answer.text
