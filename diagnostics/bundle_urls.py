"""Addresses of bundles of knowledge."""

from django.urls import path

from diagnostics.views import bundle_format, bundles

urlpatterns = [
    path("knowledge/bundles/", bundles.bundles, name="bundles"),
    path("knowledge/bundles/<int:pk>/", bundles.bundle, name="bundle"),
    path("knowledge/bundle.yaml", bundles.bundle_in_force, name="bundle-in-force"),
    path("knowledge/editions/<int:pk>/bundle.yaml", bundles.edition_bundle, name="edition-bundle"),
    path("knowledge/bundle-format/", bundle_format.bundle_format, name="bundle-format"),
    path("knowledge/bundle-format/schema.json", bundle_format.bundle_schema, name="bundle-schema"),
]
