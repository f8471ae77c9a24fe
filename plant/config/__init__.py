"""The site's configuration; loads Celery so that tasks find their app."""

import os

from plant.config.celery import app as celery_app

# The engine's matrices are small: threads of their own only make processes wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__all__ = ["celery_app"]
