"""Addresses of this room under /api/v1/."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
