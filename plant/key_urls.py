"""Addresses of the keys pages."""

from django.urls import path

from plant.views import key_page, keys

urlpatterns = [
    path("keys/", keys.keys, name="keys"),
    path("keys/new/", keys.key_new, name="key-new"),
    path("keys/<slug:prefix>/", key_page.key, name="key"),
    path("keys/<slug:prefix>/replace/", key_page.key_replace, name="key-replace"),
    path("keys/<slug:prefix>/end-former/", key_page.key_end_former, name="key-end-former"),
    path("keys/<slug:prefix>/revoke/", keys.key_revoke, name="key-revoke"),
]
