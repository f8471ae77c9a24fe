"""What another system sends to raise an order, to change one, to move one."""

from typing import Any

from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers

from diagnostics.selectors import shelf
from plant.api.bodies import Body
from plant.api.naming import conveyor_called
from plant.api.words import WireWord
from plant.models import Conveyor, Plant
from workorders.api import order_examples as examples
from workorders.api.written_fields import day, figure, instant, lines, words
from workorders.order_states import OrderState, Waiting
from workorders.services.changing import MoveAsked, OrderAsked, WaitingAsked
from workorders.services.raising_by_hand import WorkWanted
from workorders.services.replanning import OrderFigures
from workorders.urgency import Urgency

# Longer than any loop; the conveyor's own length is looked at where the order is raised.
_LONGEST_LOOP_M = 100_000
# Field on the wire, and what the services call it.
_FIGURES = {
    "external_number": "external_number",
    "title": "title",
    "duration_h": "hours",
    "people": "people",
    "due_on": "due_on",
    "earliest_on": "earliest_on",
    "tools": "tools",
    "parts": "parts",
}
_EMPTY_IS_NOTHING = {"external_number"}


@extend_schema_serializer(examples=[examples.RAISE])
class OrderRaised(Body):
    """As on the page for work by hand. Needs the asking key's plant as `plant`."""

    conveyor = serializers.CharField(max_length=40, help_text="Tag of a conveyor in service.")
    title = serializers.CharField(max_length=200, help_text="What is to be done.")
    component = words(48, help_text="Name of a station in the register of this conveyor.")
    loop_position_m = serializers.FloatField(
        min_value=0, max_value=_LONGEST_LOOP_M, allow_null=True, default=None
    )
    work_method = words(
        60, help_text="Short name; its steps, tools and cautions are copied into the order."
    )
    steps = lines("In words of your own, in their order.", length=400)
    urgency = WireWord(
        Urgency, allow_null=True, default=None, help_text="Left out: as the site judges."
    )
    urgency_why = words(help_text="Needed for another urgency than the site's.")
    due_on = day(allow_null=True, default=None)
    earliest_on = day(allow_null=True, default=None)
    external_number = words(80, help_text="Number in the other system.")

    def __init__(self, *args: Any, plant: Plant | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._plant = plant

    def validate_conveyor(self, tag: str) -> Conveyor:
        assert self._plant is not None
        return conveyor_called(tag, self._plant)

    def validate_loop_position_m(self, value: float | None) -> float | None:
        # Not a number is neither below nor above anything.
        if value is not None and value != value:
            raise serializers.ValidationError("Give a number of metres.", code="invalid")
        return value

    def validate_work_method(self, slug: str | None) -> str:
        assert self._plant is not None
        if slug and slug not in shelf.library_of(self._plant.pk).work_methods:
            raise serializers.ValidationError(
                f"The plant has no work method {slug}.", code="unknown_work_method"
            )
        return slug or ""

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        _check_days(attrs)
        return attrs

    def wanted(self) -> WorkWanted:
        filled = self.validated_data
        return WorkWanted(
            title=filled["title"],
            component=filled.get("component") or "",
            work_method=filled.get("work_method") or "",
            urgency_why=filled.get("urgency_why") or "",
            external_number=filled.get("external_number") or "",
            position_m=filled["loop_position_m"],
            steps=tuple(filled.get("steps", ())),
            urgency=Urgency(filled["urgency"]) if filled["urgency"] else None,
            due_on=filled["due_on"],
            earliest_on=filled["earliest_on"],
        )


@extend_schema_serializer(examples=[examples.MOVE, examples.SCHEDULE])
class OrderMoved(Body):
    to_state = WireWord(OrderState)
    why = words(help_text="Needed to decline, to cancel and to move back.")
    planned_for = instant(
        allow_null=True, default=None, help_text="For `scheduled`, with its offset or Z."
    )
    begins_early = serializers.BooleanField(
        default=False, help_text="Take in hand although work that comes first is not done."
    )

    def asked(self) -> MoveAsked:
        return move_asked(self.validated_data)


@extend_schema_serializer(examples=[examples.NUMBERED, examples.WAITS])
class OrderChanged(Body):
    """What is left out stays as it is."""

    external_number = words(80, help_text="Number in the other system; null for none.")
    title = serializers.CharField(max_length=200, required=False)
    duration_h = figure(4, least=0, allow_null=True, required=False)
    people = serializers.IntegerField(
        min_value=1, max_value=99, allow_null=True, required=False, help_text="At a time."
    )
    due_on = day(allow_null=True, required=False)
    earliest_on = day(allow_null=True, required=False)
    tools = lines("All of them; what was there goes.")
    parts = lines("In words, all of them; parts of the catalogue stand under `/parts`.")
    urgency = WireWord(Urgency, required=False)
    urgency_why = words(help_text="Needed for another urgency.")
    planned_for = instant(required=False, help_text="Another time for a scheduled order.")
    planned_for_why = words(help_text="Needed for another time.")
    waiting_for = WireWord(
        Waiting, allow_null=True, required=False, help_text="Null: it waits no longer."
    )
    waiting_why = words(help_text="What exactly, until when. Needed with `waiting_for`.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if not attrs:
            raise serializers.ValidationError("Say what shall change.", code="nothing_to_change")
        for reason, of in (
            ("urgency_why", "urgency"),
            ("planned_for_why", "planned_for"),
            ("waiting_why", "waiting_for"),
        ):
            if attrs.get(reason) and of not in attrs:
                raise serializers.ValidationError(
                    {reason: f"This goes with {of}."}, code="contradiction"
                )
        _check_days(attrs)
        return attrs

    def asked(self) -> OrderAsked:
        return order_asked(self.validated_data)


@extend_schema_serializer(examples=[examples.BULK_ITEM])
class OrderWritten(OrderChanged):
    """One item of a bulk request."""

    number = serializers.CharField(max_length=24, help_text="Of the order, as people read it.")
    version = serializers.IntegerField(
        min_value=1,
        max_value=2**31 - 1,
        required=False,
        help_text="The one that was read, as lists and the feed give it; without it 428.",
    )
    move = OrderMoved(required=False, help_text="Made last.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        addressed = {"number": attrs["number"], "version": attrs.get("version")}
        changes = {name: one for name, one in attrs.items() if name not in addressed}
        return super().validate(changes) | addressed

    def asked(self) -> OrderAsked:
        return order_asked(self.validated_data)


def order_asked(filled: dict[str, Any]) -> OrderAsked:
    move, urgency = filled.get("move"), filled.get("urgency")
    return OrderAsked(
        figures=_figures(filled),
        urgency=Urgency(urgency) if urgency else None,
        urgency_why=filled.get("urgency_why") or "",
        waits=_waits(filled),
        planned_for=filled.get("planned_for"),
        planned_for_why=filled.get("planned_for_why") or "",
        move=move_asked(move) if move else None,
    )


def move_asked(filled: dict[str, Any]) -> MoveAsked:
    return MoveAsked(
        to_state=OrderState(filled["to_state"]),
        why=filled.get("why") or "",
        planned_for=filled["planned_for"],
        begins_early=filled["begins_early"],
    )


def _figures(filled: dict[str, Any]) -> OrderFigures:
    figures = OrderFigures()
    for name, ours in _FIGURES.items():
        if name in filled:
            value = filled[name]
            figures[ours] = "" if value is None and name in _EMPTY_IS_NOTHING else value  # type: ignore[literal-required]
    return figures


def _waits(filled: dict[str, Any]) -> WaitingAsked | None:
    if "waiting_for" not in filled:
        return None
    waiting_for = filled["waiting_for"]
    return WaitingAsked(
        Waiting(waiting_for) if waiting_for else None, filled.get("waiting_why") or ""
    )


def _check_days(attrs: dict[str, Any]) -> None:
    due_on, earliest_on = attrs.get("due_on"), attrs.get("earliest_on")
    if due_on and earliest_on and due_on < earliest_on:
        raise serializers.ValidationError(
            {"earliest_on": "This is after the day it is due."}, code="days_contradict"
        )
