"""One plant with a row of every kind, and how an address gets to the rows it asks for."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from diagnostics.services import diagnosing, findings, judging
from plant.loop.belt_life import Turn
from plant.loop.belt_operations import TurnOver
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, BeltMark, Conveyor, Plant, RegisterImport, User
from plant.roles import Role
from plant.services import belt_works
from tests.addresses import Address
from tests.diagnostics import bundle_rows, editions, note_rows, reckoned_rows, tried_cases
from tests.diagnostics import factories as diagnostics
from tests.diagnostics.sent_pictures import take_photo
from tests.plant import attached, condition_rows, meter_rows, roll_rows
from tests.plant.factories import (
    make_complete_conveyor,
    make_component,
    make_person,
    make_plant,
)
from tests.plant.webhooks import rows as webhook_rows
from tests.plant.wording import system_rows
from tests.workorders import (
    booked_rows,
    campaign_rows,
    exchange_rows,
    lives_rows,
    outage_rows,
    part_rows,
    plan_rows,
    sheet_rows,
    shifted,
)
from tests.workorders import factories as workorders
from tests.workorders.month_report import rows as report_rows
from workorders.life_subjects import LifeSubject
from workorders.models import HandOverNote, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors.crew_calendar import digest_of

NOW = diagnostics.NOW
# What an address has to be asked besides its row.
_ASKED = {
    "order-move": "to_state=approved",
    "case-move": "to_state=cancelled",
    "condition-round-stop": "quantity=lagging_thickness",
    "what-if": "cause=tail_pulley_skewed",
}


@dataclass(frozen=True)
class World:
    """`rows`: what `pk` means, by the beginning of an address's name, longest first."""

    plant: Plant
    people: dict[Role, User]
    rows: dict[str, Any]
    values: dict[str, Any]

    def address(self, address: Address, **instead: str) -> str:
        """`instead` are parameters that lead to no row of the world."""
        assert address.name
        kwargs = {one: self._value(address.name, one) for one in address.parameters} | instead
        asked = _ASKED.get(address.name)
        return reverse(address.name, kwargs=kwargs) + (f"?{asked}" if asked else "")

    def _value(self, name: str, parameter: str) -> Any:
        if parameter == "number" and name.startswith("order"):
            return self.rows["order"]
        if parameter != "pk":
            assert parameter in self.values, f"{name}: tell tests/world.py about {parameter}."
            return self.values[parameter]
        kinds = [kind for kind in self.rows if name.startswith(kind)]
        assert kinds, f"{name}: tell tests/world.py which row its {parameter} is."
        return self.rows[max(kinds, key=len)]


def make_world() -> World:
    plant = make_plant()
    conveyor = make_complete_conveyor(plant)
    people = {role: make_person(role, plants=[plant]) for role in Role}
    rows = {"person": people[Role.CLERK].pk}
    values = {
        "plant_code": plant.code,
        "code": plant.code,
        "tag": conveyor.tag,
        "figures": "classes",
        "slug": "off_centre_loading",
        "subject": "troughing_idlers",
        "method": "centre-load",
        "cause_class": "loading",
        "table": "time",
        "mends_table": "groups",
        "campaign_table": "figures",
        "kind": "pdf",
        "feed": "work_orders",
        "sheet": "components",
        "place": 1,
        "set_number": 1,
        "stop": 1,
        "name": "C1",
        "entry_kind": "rule",
        "entry_slug": "row-before-skirts",
        "rule_slug": "row-before-skirts",
        "uidb64": "MQ",
        "token": "c1-abc",
    }
    _register(conveyor, rows, values)
    _case(conveyor, people[Role.LEAD], rows, values)
    _placed(conveyor, rows, values)
    _in_hand(conveyor, rows)
    rows["campaign"] = campaign_rows.make_campaign(plant).pk
    rows |= exchange_rows.of_world(plant)
    rows["plan-run"] = plan_rows.worked_out(plant).pk
    rows["monthly-report"] = report_rows.kept(plant).pk
    # Words are their writer's alone to correct.
    order = WorkOrder.objects.get(number=rows["order"])
    rows["order-note"] = booked_rows.make_note(order, people[Role.ADMINISTRATOR]).pk
    _editions(plant, rows)
    reckoning = reckoned_rows.make_reckoning(plant)
    reckoned_rows.make_faults(reckoning, conveyor)
    rows["repeat-offenders"] = reckoning.pk
    rows |= outage_rows.of_world(conveyor)
    note = HandOverNote.objects.create(plant=plant, words="Q30 is locked.", written_at=NOW)
    rows["hand-over-note"] = note.pk
    rows["system"] = system_rows.spoken_system(plant, conveyor).pk
    values |= {"vocabulary": "order_state", "record_kind": "work_order"}
    delivery = webhook_rows.make_delivery(plant)
    rows |= {"webhook": delivery.target_id, "webhook-delivery": delivery.pk}
    key, _secret = workorders.make_key(plant)
    return World(plant, people, rows, {**values, "prefix": key.prefix})


def _register(conveyor: Conveyor, rows: dict[str, Any], values: dict[str, Any]) -> None:
    belt = Belt.objects.get(conveyor=conveyor)
    mark = BeltMark.objects.create(belt=belt, kind=BeltMark.Kind.REPAIR, belt_position_m=40)
    cleaner = make_component(conveyor, "Cleaner", ComponentKind.BELT_CLEANER, Run.RETURN, "102.5")
    work = belt_works.work_on_belt(
        conveyor_id=conveyor.pk,
        belt_id=belt.pk,
        asked=belt_works.Asked(TurnOver(Turn.ALONG), NOW.date()),
        by=None,
        now=NOW,
        today=NOW.date(),
    )
    rows["belt-work"] = work.pk
    values["belt"] = belt.pk
    sent = RegisterImport.objects.create(
        plant=conveyor.plant, made_at=NOW, file_name="idlers.csv", file_hash="0", file_bytes=1
    )
    rows |= {"register-import": sent.pk}
    rows |= {"component": cleaner.pk, "splice": belt.splices.all()[0].pk, "mark": mark.pk}
    idlers = conveyor.components.get(name="C")
    rows |= {"idler-group": idlers.pk, "idler-set": idlers.pk, "roll-change-new": idlers.pk}
    rows["roll-change"] = roll_rows.change(conveyor, "5")[0].pk
    rows["attachment"] = attached.attach_picture(conveyor, cleaner).pk
    rows["attachment-caption"] = attached.attach_pdf(conveyor).pk
    reading = condition_rows.read(conveyor, "Head pulley", 9.5)
    rows |= {"condition": reading.pk, "wear-spot": reading.pk}
    rows["renewal"] = lives_rows.renew_lagging(conveyor, reading, NOW).pk
    lives_rows.set_costs(conveyor.plant, LifeSubject.TROUGHING, NOW)
    rows["limit"] = lives_rows.set_limit(conveyor.plant, 5.0, NOW).pk
    rows["shift"] = shifted.shift(conveyor, "R5", now=NOW)[0].pk
    rows["meter-reading"] = meter_rows.keep(conveyor, 0, "5").pk


def _editions(plant: Plant, rows: dict[str, Any]) -> None:
    earlier = editions.publish_change(plant, "row-before-skirts", says="Look at the tail.")
    editions.publish_change(plant, "row-before-skirts", says="Look at the tail pulley.")
    draft = editions.begin(plant)
    editions.change_rule(draft, "row-before-skirts", says="Look at the tail pulley first.")
    rows |= {"edition": draft.pk, "edition-go-back": earlier.pk}
    rows["trial"] = tried_cases.tried(draft).pk
    rows["bundle"] = bundle_rows.take(plant, bundle_rows.text(cautions=[bundle_rows.caution()])).pk


def _placed(conveyor: Conveyor, rows: dict[str, Any], values: dict[str, Any]) -> None:
    order = sheet_rows.make_placed(conveyor)
    assert order.crew is not None
    order.crew.calendar_key_hash = digest_of(values["token"])
    order.crew.save()
    rows |= {"paper-window-pack": order.window_id}
    rows |= {"crew-calendar": order.crew_id, "crew-feed": order.crew_id}


def _in_hand(conveyor: Conveyor, rows: dict[str, Any]) -> None:
    order = workorders.bring_to(workorders.make_order_by_hand(conveyor), OrderState.IN_HAND)
    booking = booked_rows.make_booking(order)
    rows |= {"order-in-hand": order.number, "order-in-hand-time": booking.pk}


def _case(conveyor: Conveyor, lead: User, rows: dict[str, Any], values: dict[str, Any]) -> None:
    complaint = diagnostics.take(conveyor)
    case = complaint.case
    assert case is not None
    walk_down = diagnostics.make_walk_down(case)
    sighting = diagnostics.look(walk_down, "R5", 117.0)
    timed = diagnostics.make_timed_look(case)
    photo = take_photo(case, sighting=sighting)
    note = note_rows.write(case, cause="return_idler_skewed", photos=1)
    finding = findings.record_finding(
        case_id=case.pk, cause="return_idler_skewed", is_present=True, by=lead, now=NOW
    )
    diagnosis = diagnosing.diagnose_case(case_id=case.pk, now=NOW)
    hypothesis = diagnosis.hypotheses.all()[0]
    judging.accept_hypothesis(hypothesis_id=hypothesis.pk, case_id=case.pk, by=lead, now=NOW)
    order = hypothesis.work_orders.get()
    values["together"] = lives_rows.as_due(order, NOW)
    values |= {
        "number": case.number,
        "hypothesis_pk": hypothesis.pk,
        "look_pk": sighting.pk,
    }
    rows |= {
        "complaint": complaint.pk,
        "walk-down": walk_down.pk,
        "look": walk_down.pk,
        "timed-look": timed.pk,
        "timed-look-file": diagnostics.make_sensor_look(case).pk,
        "photo": photo.pk,
        "field-note": note.pk,
        "note-photo": note.photos.get().pk,
        "finding": finding.pk,
        "diagnosis": diagnosis.pk,
        "hypothesis": hypothesis.pk,
        "order": order.number,
        "order-time": booked_rows.make_booking(order).pk,
        "order-photo": booked_rows.keep_photo(order).pk,
    }
    rows |= part_rows.make_rows(order)
