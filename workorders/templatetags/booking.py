"""What a person may do with what is recorded on an order."""

from datetime import datetime

from django import template
from django.http import HttpRequest

from plant.models import Plant
from workorders import record_access, time_access
from workorders.models import OrderNote, OrderPhoto, TimeBooking

register = template.Library()


@register.filter
def may_correct_time(request: HttpRequest, row: TimeBooking) -> bool:
    return time_access.may_correct(request.user, row)


@register.filter
def may_change_photo(request: HttpRequest, row: OrderPhoto) -> bool:
    return record_access.may_change_photo(request.user, row)


@register.filter
def may_change_note(request: HttpRequest, note: OrderNote) -> bool:
    return record_access.may_change_note(request.user, note)


@register.filter
def clock(moment: datetime, plant: Plant) -> str:
    """The time of day by the plant's clock."""
    return f"{moment.astimezone(plant.zone_info):%H:%M}"
