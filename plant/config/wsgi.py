"""The web process."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "plant.config.settings")
application = get_wsgi_application()

from plant.config.requests import Utf8Request  # noqa: E402  (Django is set up by the line above)

application.request_class = Utf8Request
