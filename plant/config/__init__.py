"""The site's configuration; loads Celery so that tasks find their app."""

from plant.config.celery import app as celery_app

__all__ = ["celery_app"]
