"""Addresses of the work pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
