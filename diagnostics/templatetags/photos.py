"""What a photo shows, for those who see it and those who hear it."""

from django import template
from django.utils.translation import gettext as _

from diagnostics.models import Photo
from diagnostics.templatetags.catalogue import cause_name
from plant.models import Plant

register = template.Library()


@register.filter
def photo_shows(photo: Photo, plant: Plant) -> str:
    """Its caption, or what the close look was for and where, or just where."""
    if photo.caption:
        return photo.caption
    place = photo.place or (photo.sighting.station if photo.sighting else "")
    if photo.finding is not None:
        found = _("found") if photo.finding.is_present else _("not found")
        told = _("%(cause)s, %(found)s") % {
            "cause": cause_name(photo.finding.cause, plant),
            "found": found,
        }
        return f"{told}: {place}" if place else told
    return place or _("Photo without words")
