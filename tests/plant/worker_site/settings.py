from plant.config.settings import *  # noqa: F403
from plant.config.settings import INSTALLED_APPS

INSTALLED_APPS = [*INSTALLED_APPS, "tests.plant.worker_site"]
