"""At the belt after the work: looks are kept as they come, and the verdict is held against them."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Sighting, WalkDown
from diagnostics.selectors.evidence import standing_sightings
from diagnostics.walking_cautions import walking_cautions
from tests.diagnostics import factories as diagnostics
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import ProofLook, ProofRun, ProofWatch, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import fix_lives, proof_page
from workorders.services import proving

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)


@pytest.fixture
def done(order: WorkOrder) -> WorkOrder:
    """The belt was off at R5 before; its idler was squared."""
    assert order.case is not None
    walk_down = diagnostics.make_walk_down(order.case)
    diagnostics.look(walk_down, "R5", 117.0)
    Sighting.objects.update(seen_at=NOW - timedelta(hours=1))
    return factories.bring_to(order, OrderState.DONE)


def _filled(order: WorkOrder, **more: Any) -> dict[str, Any]:
    turns = {
        "cautions_read": "on",
        "revolutions_empty": 3,
        "revolutions_loaded": 3,
        "version": order.version,
    }
    return {**turns, "outcome": "passed", "note": "", **more}


def _all_lines(order: WorkOrder, where: str = "centred") -> dict[str, str]:
    watched = proof_page.to_watch(order, proof_page.loop_or_none(order.conveyor))
    return {
        f"{load}-{number}-where": where
        for load in ("empty", "loaded")
        for number in range(len(watched))
    }


def _send(client: Client, order: WorkOrder, **filled: Any) -> Any:
    return client.post(reverse("order-proof", args=[order.number]), filled)


def test_the_page_asks_for_the_station_that_was_off(done: WorkOrder, technician: Client):
    page = technician.get(reverse("order-proof", args=[done.number])).content.decode()

    assert "R5" in page
    assert 'name="loaded-0-where"' in page


def test_the_cautions_of_every_walk_stand_on_top_even_where_the_order_has_none(
    done: WorkOrder, technician: Client
):
    WorkOrder.objects.filter(pk=done.pk).update(cautions=[])

    page = technician.get(reverse("order-proof", args=[done.number])).content.decode()

    cautions = walking_cautions(done.conveyor.plant_id)
    assert cautions
    assert page.index(escape(cautions[0])) < page.index('name="loaded-0-where"')


def test_centred_everywhere_passes(done: WorkOrder, technician: Client):
    _send(technician, done, **_filled(done), **_all_lines(done))

    done.refresh_from_db()
    assert done.state == OrderState.PROVED
    assert set(ProofLook.objects.values_list("degree", flat=True)) == {"centred"}
    assert not ProofWatch.objects.get().is_against_looks


def test_a_pass_against_the_looks_needs_a_reason_and_is_marked(done: WorkOrder, technician: Client):
    off = {**_all_lines(done), "loaded-0-where": "half:left"}

    refused = _send(technician, done, **_filled(done), **off)
    assert refused.status_code == 409
    assert "Off centre still" in refused.content.decode()
    assert 'value="half:left" selected' in refused.content.decode()
    assert not ProofRun.objects.exists()

    _send(technician, done, **_filled(done, note="runs so by design there"), **off)

    done.refresh_from_db()
    assert done.state == OrderState.PROVED
    assert ProofWatch.objects.get().is_against_looks


def test_a_station_that_nobody_watched_is_asked_for(done: WorkOrder, technician: Client):
    lines = {key: value for key, value in _all_lines(done).items() if key.startswith("empty")}

    refused = _send(technician, done, **_filled(done), **lines)

    assert refused.status_code == 409
    assert "Not watched empty and loaded" in refused.content.decode()


def test_half_a_watch_is_kept_and_gone_on_with(done: WorkOrder, technician: Client):
    lines = {key: value for key, value in _all_lines(done).items() if key.startswith("empty")}
    kept = _filled(done, outcome="", revolutions_loaded=0, keep="1")

    _send(technician, done, **kept, **lines)

    done.refresh_from_db()
    assert done.state == OrderState.DONE
    page = technician.get(reverse("order-proof", args=[done.number])).content.decode()
    assert 'value="centred" selected' in page
    assert "Not ended yet" in technician.get(reverse("order", args=[done.number])).content.decode()


def test_an_older_page_does_not_write_over_turns_kept_since(done: WorkOrder, technician: Client):
    older = _filled(done, outcome="", revolutions_empty=0, revolutions_loaded=0, keep="1")
    _send(technician, done, **_filled(done, outcome="", keep="1"))

    told = _send(technician, done, **older)

    assert told.status_code == 409
    assert "Somebody changed" in told.content.decode()
    watch = ProofWatch.objects.get(order=done)
    assert (watch.revolutions_empty, watch.revolutions_loaded) == (3, 3)


def test_what_was_seen_on_a_failed_proof_run_is_evidence_of_the_case(
    done: WorkOrder, technician: Client
):
    off = {**_all_lines(done), "loaded-0-where": "slight:right", "loaded-0-offset_mm": "31"}

    _send(technician, done, **_filled(done, outcome="failed", note="still off at R5"), **off)

    case = Case.objects.get(pk=done.case_id)
    assert case.state == CaseState.LOOKED_AT
    assert "still off at R5" in WalkDown.objects.latest("pk").note
    counted = {(one.station, one.load, one.offset_mm) for one in standing_sightings(case)}
    watched = proof_page.to_watch(done, proof_page.loop_or_none(done.conveyor))
    assert (watched[0].station, "loaded", 31.0) in counted
    # What was seen before the mend counts no more.
    assert len(counted) == len(off) - 1


def test_a_look_beyond_the_end_of_a_shortened_belt_keeps_no_proof_run_from_failing(
    done: WorkOrder, technician: Client
):
    _send(technician, done, **_filled(done, outcome="", keep="1"), **_all_lines(done))
    ProofLook.objects.filter(load="empty").update(position_m=90_000.0)
    done.refresh_from_db()

    _send(technician, done, **_filled(done, outcome="failed", note="off again"))

    assert not ProofRun.objects.get(order=done).passed
    assert not Sighting.objects.filter(position_m=90_000.0).exists()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ({"loaded-0-where": "sideways"}, "where"),
        ({"loaded-0-offset_mm": "12"}, "Say to which side"),
        ({"loaded-0-where": "centred", "loaded-0-offset_mm": "x"}, "Enter a number"),
        ({"loaded-0-where": "half:left", "loaded-0-offset_mm": "1e9"}, "2000"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_is_kept(
    done: WorkOrder, technician: Client, line: dict[str, str], said: str
):
    answer = _send(technician, done, **_filled(done, note="seen at noon"), **line)

    assert answer.status_code == 400
    assert said in answer.content.decode()
    assert "seen at noon" in answer.content.decode()
    assert not ProofWatch.objects.exists()


def test_nothing_is_kept_before_the_cautions_were_read(done: WorkOrder, technician: Client):
    unread = {key: value for key, value in _filled(done).items() if key != "cautions_read"}

    answer = _send(technician, done, **unread, **_all_lines(done))

    assert answer.status_code == 400
    assert not ProofWatch.objects.exists()


def test_the_order_shows_before_and_after_beside_each_other(done: WorkOrder, technician: Client):
    _send(technician, done, **_filled(done), **_all_lines(done))

    page = technician.get(reverse("order", args=[done.number])).content.decode()

    assert "Before the work" in page
    assert "After the work" in page
    assert "It has held" in page


def test_a_mend_holds_until_its_case_comes_back(done: WorkOrder):
    watched = {"revolutions_empty": 3, "revolutions_loaded": 3, "note": "true"}
    proving.record_proof_run(order_id=done.pk, passed=True, by=None, now=LATER, **watched)
    orders, then = WorkOrder.objects.all(), LATER + timedelta(days=60)

    [so_far] = fix_lives.fix_lives(orders, then)
    assert (so_far.days, so_far.came_back) == (60, False)

    back = factories.make_case(done.conveyor, now=LATER + timedelta(days=41))
    Case.objects.filter(pk=back.pk).update(repeat_of=done.case)

    [held] = fix_lives.fix_lives(orders, then)
    assert (held.days, held.came_back, held.back_number) == (41, True, back.number)
