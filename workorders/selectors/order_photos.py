"""Photos of orders, as pages show them."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.functional import Promise

from workorders.models import OrderPhoto, WorkOrder


@dataclass(frozen=True)
class Group:
    """Those of one moment, under its words."""

    words: str | Promise
    photos: list[OrderPhoto]


def photos_of(order: WorkOrder) -> QuerySet[OrderPhoto]:
    """In the order in which they were taken, with what is told beside each."""
    rows = OrderPhoto.objects.filter(order=order).select_related("order", "sent_by")
    return rows.select_related("taken_back_by")


def photos_of_case(case_id: int) -> QuerySet[OrderPhoto]:
    """What stands of all orders of a case, the latest first."""
    rows = OrderPhoto.objects.standing().filter(order__case=case_id)
    return rows.select_related("order", "sent_by").order_by("-taken_at", "-pk")


def grouped(photos: list[OrderPhoto]) -> list[Group]:
    """Before, during, after; moments without photos are left out."""
    groups = [
        Group(moment.label, [one for one in photos if one.moment == moment.value])
        for moment in OrderPhoto.Moment
    ]
    return [group for group in groups if group.photos]


def likely_moment(order: WorkOrder) -> OrderPhoto.Moment:
    """What somebody who takes a photo now most likely shows."""
    if order.state in {"done", "proved"}:
        return OrderPhoto.Moment.AFTER
    return OrderPhoto.Moment.DURING if order.state == "in_hand" else OrderPhoto.Moment.BEFORE
