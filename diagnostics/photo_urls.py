"""Addresses of photos."""

from django.urls import path

from diagnostics.views import photos

urlpatterns = [
    path("cases/<slug:number>/photos/", photos.case_photos, name="case-photos"),
    path("walk-downs/<int:pk>/photo/", photos.walk_down_photo, name="walk-down-photo"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/small/", photos.photo_small, name="photo-small"),
    path("photos/<int:pk>/counts/", photos.photo_counts, name="photo-counts"),
]
