"""Addresses of the whole site; the upper apps are named only as strings."""

from django.urls import include, path

from plant.views import health, local_root, metrics

urlpatterns = [
    path("healthz", health.process_lives, name="healthz"),
    path("readyz", health.site_is_ready, name="readyz"),
    path("metrics", metrics.metrics, name="metrics"),
    path("local-root.crt", local_root.local_root, name="local-root"),
    path("api/v1/", include("workorders.api.urls")),
    path("api/v1/", include("diagnostics.api.urls")),
    # Last of the API: it answers for every address under /api/v1/ that is no resource.
    path("api/v1/", include("plant.api.urls")),
    path("", include("workorders.urls")),
    path("", include("diagnostics.urls")),
    path("", include("plant.urls")),
]
