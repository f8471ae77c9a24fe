"""Photos of a case, as pages show them."""

from django.db.models import QuerySet

from diagnostics.models import Case, Photo
from diagnostics.pictures import SMALL_PX


def photos_of(case: Case) -> QuerySet[Photo]:
    """The latest first, with what is told beside each."""
    rows = Photo.objects.filter(case=case).select_related("taken_by", "finding", "sighting")
    return rows.order_by("-taken_at", "-pk")


def small_measures(photo: Photo) -> tuple[int, int]:
    """Width and height of the small picture, so that a page does not jump. [px]"""
    share = min(SMALL_PX / max(photo.width, photo.height), 1.0)
    return max(round(photo.width * share), 1), max(round(photo.height * share), 1)
