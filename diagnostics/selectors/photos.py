"""Photos of a case, as pages show them."""

from django.db.models import QuerySet

from diagnostics.models import Case, Photo


def photos_of(case: Case) -> QuerySet[Photo]:
    """The latest first, with what is told beside each."""
    rows = Photo.objects.filter(case=case).select_related("taken_by", "finding", "sighting")
    return rows.order_by("-taken_at", "-pk")
