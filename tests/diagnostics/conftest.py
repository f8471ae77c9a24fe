"""A plant and people of it, signed in, for the pages of diagnosis."""

from typing import Any

import pytest
from django.test import Client

from plant.models import Plant
from plant.roles import Role
from tests.diagnostics.factories import make_person, make_plant
from tests.plant.factories import signed_in


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT")


@pytest.fixture
def clerk(plant: Plant) -> Client:
    return signed_in(make_person(Role.CLERK, plant))


@pytest.fixture
def technician(plant: Plant) -> Client:
    return signed_in(make_person(Role.TECHNICIAN, plant))


@pytest.fixture
def clean_storage(settings: Any, tmp_path: Any) -> None:
    """A folder: what stands in it is counted."""
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    }
    settings.MEDIA_ROOT = tmp_path
