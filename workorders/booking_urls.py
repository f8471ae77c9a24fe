"""Addresses of what is recorded on an order."""

from django.urls import path

from workorders import order_number  # noqa: F401
from workorders.views import linking, time_booking

urlpatterns = [
    path("work/<order_number:number>/time/", time_booking.order_time, name="order-time"),
    path(
        "work/<order_number:number>/time/<int:pk>/",
        time_booking.order_time_correct,
        name="order-time-correct",
    ),
    path(
        "work/<order_number:number>/time/<int:pk>/take-back/",
        time_booking.order_time_take_back,
        name="order-time-take-back",
    ),
    path(
        "work/<order_number:number>/time/<int:pk>/put-back/",
        time_booking.order_time_put_back,
        name="order-time-put-back",
    ),
    path("work/<order_number:number>/waits-for/", linking.order_link, name="order-link"),
    path("work/<order_number:number>/waits-no-more/", linking.order_unlink, name="order-unlink"),
]
