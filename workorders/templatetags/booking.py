"""What a person may do with what is recorded on an order."""

from datetime import datetime

from django import template
from django.http import HttpRequest

from plant.models import Plant
from workorders import time_access
from workorders.models import TimeBooking

register = template.Library()


@register.filter
def may_correct_time(request: HttpRequest, row: TimeBooking) -> bool:
    return time_access.may_correct(request.user, row)


@register.filter
def clock(moment: datetime, plant: Plant) -> str:
    """The time of day by the plant's clock."""
    return f"{moment.astimezone(plant.zone_info):%H:%M}"
