"""Addresses of work under /api/v1/."""

from django.urls import path, re_path

from workorders.api import feed, views

urlpatterns = [
    path("work-orders", views.WorkOrderList.as_view(), name="api-work-orders"),
    path("work-orders/changes", feed.OrderFeed.as_view(), name="api-work-orders-changes"),
    re_path(
        r"^work-orders/(?P<number>[A-Z0-9]{1,12}-W-[0-9]{1,9})$",
        views.WorkOrderOne.as_view(),
        name="api-work-order",
    ),
]
