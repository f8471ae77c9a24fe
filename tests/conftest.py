"""The floor every test stands on: a PostgreSQL of its own, quick passwords, Chromium, Redis."""

import os

from plant.config.data_folder import data_folder

# Never the plant's own database: here a power cut may cost everything.
os.environ["LOOPWRIGHT_POSTGRES_FAST"] = "1"
# A test that asks much of the API must not be held up; the limit has tests of its own.
os.environ["API_REQUESTS_PER_MINUTE"] = "0"
if "LOOPWRIGHT_DATA" not in os.environ:
    os.environ["LOOPWRIGHT_DATA"] = str(data_folder().with_name("loopwright-tests"))

from tests.chromium import browser_type_launch_args, chromium_path  # noqa: F401
from tests.loud_list import pytest_runtest_setup, pytest_terminal_summary  # noqa: F401
from tests.redis_server import redis_url  # noqa: F401
from tests.sharing_out import pytest_xdist_make_scheduler  # noqa: F401


def pytest_configure() -> None:
    from django.conf import settings

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # A test that signs in wrongly on purpose must not lock the others out.
    settings.AXES_ENABLED = False
    # The settings may have been read before the environment was changed above.
    settings.API_REQUESTS_PER_MINUTE = 0
    # The live server's threads would keep the test database open beyond its end.
    settings.DATABASES["default"]["CONN_MAX_AGE"] = 0
    # The test server knows no hashed file names; the real storage is tested through gunicorn.
    settings.STORAGES = {
        **settings.STORAGES,
        # Files sent in by a test go with it.
        "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
