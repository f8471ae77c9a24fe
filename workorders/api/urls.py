"""Addresses of work under /api/v1/."""

from django.urls import path, re_path

from workorders.api import (
    feed,
    order_notes,
    order_parts,
    order_time,
    order_writing,
    shifts,
    stock,
    views,
)

# As people read it; longer digits than a number can have are no resource.
_ONE = r"work-orders/(?P<number>[A-Z0-9]{1,12}-W-[0-9]{1,9})"

urlpatterns = [
    path("work-orders", views.WorkOrderList.as_view(), name="api-work-orders"),
    path("work-orders/changes", feed.OrderFeed.as_view(), name="api-work-orders-changes"),
    path("work-orders/bulk", order_writing.OrderBulk.as_view(), name="api-work-orders-bulk"),
    re_path(rf"^{_ONE}$", views.WorkOrderOne.as_view(), name="api-work-order"),
    re_path(rf"^{_ONE}/moves$", order_writing.MoveList.as_view(), name="api-work-order-moves"),
    re_path(rf"^{_ONE}/time$", order_time.TimeList.as_view(), name="api-work-order-time"),
    re_path(
        rf"^{_ONE}/time/(?P<id>[0-9]{{1,18}})$",
        order_time.TimeOne.as_view(),
        name="api-work-order-time-one",
    ),
    re_path(rf"^{_ONE}/parts$", order_parts.PartList.as_view(), name="api-work-order-parts"),
    re_path(rf"^{_ONE}/notes$", order_notes.NoteList.as_view(), name="api-work-order-notes"),
    re_path(rf"^{_ONE}/shifts$", shifts.ShiftList.as_view(), name="api-work-order-shifts"),
    path("parts", stock.StockList.as_view(), name="api-parts"),
    path("due", stock.DueList.as_view(), name="api-due"),
]
