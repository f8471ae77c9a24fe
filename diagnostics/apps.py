from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

from plant.navigation import Section, register_section


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"
    verbose_name = "Diagnosis"

    def ready(self) -> None:
        # Importing registers the system check.
        from diagnostics import checks  # noqa: F401

        register_section(Section(place=50, words=_("Knowledge"), url_name="knowledge"))
