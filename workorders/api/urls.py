"""Addresses of work under /api/v1/."""

from django.urls import path, re_path

from workorders.api import views

urlpatterns = [
    path("work-orders", views.WorkOrderList.as_view(), name="api-work-orders"),
    re_path(
        r"^work-orders/(?P<number>[A-Z0-9]{1,12}-W-[0-9]{1,9})$",
        views.WorkOrderOne.as_view(),
        name="api-work-order",
    ),
]
