"""Who sees the buttons beside a picture or drawing."""

from django import template
from django.http import HttpRequest

from plant import attachment_access
from plant.models import Attachment

register = template.Library()


@register.filter
def may_change(request: HttpRequest, row: Attachment) -> bool:
    return attachment_access.may_change(request.user, row)
