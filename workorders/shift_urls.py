"""Addresses of shifts made, under their conveyor and under an order."""

from django.urls import include, path

from workorders.views import shifts, undoing_shifts

_of_conveyor = [
    path("", shifts.shifts, name="shifts"),
    path("new/", shifts.shift_new, name="shift-new"),
    path("undo/", undoing_shifts.shifts_undo, name="shifts-undo"),
    path("<int:pk>/take-back/", undoing_shifts.shift_take_back, name="shift-take-back"),
    path("<int:pk>/put-back/", undoing_shifts.shift_put_back, name="shift-put-back"),
    path("<int:pk>/not-undone/", undoing_shifts.shift_not_undone, name="shift-not-undone"),
]
urlpatterns = [
    path("conveyors/<str:plant_code>/<str:tag>/shifts/", include(_of_conveyor)),
    path("work/<order_number:number>/shifts/new/", shifts.order_shift_new, name="order-shift-new"),
]
