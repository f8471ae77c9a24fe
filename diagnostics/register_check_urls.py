"""Address of the engineering check."""

from django.urls import path

from diagnostics.views import register_check

urlpatterns = [
    path(
        "conveyors/<str:plant_code>/<str:tag>/check/",
        register_check.register_check,
        name="register-check",
    ),
]
