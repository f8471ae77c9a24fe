"""Addresses of the keys pages."""

from django.urls import path

from plant.views import keys

urlpatterns = [
    path("keys/", keys.keys, name="keys"),
    path("keys/new/", keys.key_new, name="key-new"),
    path("keys/<slug:prefix>/revoke/", keys.key_revoke, name="key-revoke"),
]
