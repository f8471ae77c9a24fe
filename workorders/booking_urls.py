"""Addresses of what is recorded on an order."""

from django.urls import path

from workorders import order_number  # noqa: F401
from workorders.views import linking, merging, noting, order_photos, splitting, time_booking

_ORDER = "work/<order_number:number>"

urlpatterns = [
    path(f"{_ORDER}/time/", time_booking.order_time, name="order-time"),
    path(
        f"{_ORDER}/time/<int:pk>/",
        time_booking.order_time_correct,
        name="order-time-correct",
    ),
    path(
        f"{_ORDER}/time/<int:pk>/take-back/",
        time_booking.order_time_take_back,
        name="order-time-take-back",
    ),
    path(
        f"{_ORDER}/time/<int:pk>/put-back/",
        time_booking.order_time_put_back,
        name="order-time-put-back",
    ),
    path(f"{_ORDER}/waits-for/", linking.order_link, name="order-link"),
    path(f"{_ORDER}/waits-no-more/", linking.order_unlink, name="order-unlink"),
    path(f"{_ORDER}/split/", splitting.order_split, name="order-split"),
    path(f"{_ORDER}/merge/", merging.order_merge, name="order-merge"),
    path(f"{_ORDER}/photos/", order_photos.order_photos, name="order-photos"),
    path(f"{_ORDER}/photos/<int:pk>/", order_photos.order_photo, name="order-photo"),
    path(
        f"{_ORDER}/photos/<int:pk>/small/",
        order_photos.order_photo_small,
        name="order-photo-small",
    ),
    path(f"{_ORDER}/photos/<int:pk>/words/", order_photos.order_photo_say, name="order-photo-say"),
    path(
        f"{_ORDER}/photos/<int:pk>/stands/",
        order_photos.order_photo_stands,
        name="order-photo-stands",
    ),
    path(f"{_ORDER}/notes/<int:pk>/", noting.order_note_correct, name="order-note-correct"),
    path(f"{_ORDER}/notes/<int:pk>/stands/", noting.order_note_stands, name="order-note-stands"),
]
