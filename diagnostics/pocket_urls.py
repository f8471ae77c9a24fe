"""Addresses of the walk-down app and of what it asks for."""

from django.urls import path

from diagnostics.views import pocket

urlpatterns = [
    path("sw.js", pocket.service_worker, name="service-worker"),
    path("manifest.webmanifest", pocket.manifest, name="app-manifest"),
    path("walk/", pocket.walk_app, name="walk-app"),
    path("walk/<slug:number>/", pocket.walk_app, name="walk-app-case"),
    path("pocket/state.json", pocket.state, name="pocket-state"),
    path("pocket/<slug:number>/kit.json", pocket.kit_json, name="pocket-kit"),
    path("pocket/<slug:number>/table.bin", pocket.table_bin, name="pocket-table"),
    path("pocket/<slug:number>/news.json", pocket.news_json, name="pocket-news"),
    path("pocket/<slug:number>/entries/", pocket.entries, name="pocket-entries"),
]
