"""Addresses under /api/v1/ that belong to no upper app; included after theirs."""

from django.contrib.auth.decorators import login_not_required
from django.urls import include, path, re_path
from django.views.decorators.csrf import csrf_exempt

from plant.api import (
    attachments,
    belt_works,
    condition_readings,
    history,
    meter_readings,
    reading_bulk,
    schema,
)
from plant.config import api_errors

urlpatterns = [
    path("", include("plant.api.register_urls")),
    path(
        "conveyors/<str:tag>/meter-readings",
        meter_readings.MeterReadingList.as_view(),
        name="api-meter-readings",
    ),
    path(
        "conveyors/<str:tag>/meter-readings/<int:id>",
        meter_readings.MeterReadingOne.as_view(),
        name="api-meter-reading",
    ),
    path(
        "conveyors/<str:tag>/condition-readings",
        condition_readings.ConditionReadingList.as_view(),
        name="api-condition-readings",
    ),
    path(
        "conveyors/<str:tag>/condition-readings/<int:id>",
        condition_readings.ConditionReadingOne.as_view(),
        name="api-condition-reading",
    ),
    path(
        "conveyors/<str:tag>/belt-works",
        belt_works.BeltWorkList.as_view(),
        name="api-belt-works",
    ),
    path("conveyors/<str:tag>/history", history.ConveyorHistory.as_view(), name="api-history"),
    path(
        "conveyors/<str:tag>/attachments",
        attachments.AttachmentList.as_view(),
        name="api-attachments",
    ),
    path(
        "conveyors/<str:tag>/attachments/<int:id>",
        attachments.AttachmentFile.as_view(),
        name="api-attachment",
    ),
    path(
        "meter-readings/bulk",
        reading_bulk.MeterReadingBulk.as_view(),
        name="api-meter-readings-bulk",
    ),
    path(
        "condition-readings/bulk",
        reading_bulk.ConditionReadingBulk.as_view(),
        name="api-condition-readings-bulk",
    ),
    path("openapi.json", schema.openapi_document, name="api-openapi"),
    # A line break is no resource either.
    re_path(r"^[\s\S]*$", csrf_exempt(login_not_required(api_errors.unknown_address))),
]
