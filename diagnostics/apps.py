from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

from plant.navigation import Panel, Section, register_panel, register_section


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"
    verbose_name = "Diagnosis"

    def ready(self) -> None:
        # Importing registers the system check.
        from diagnostics import checks, trend_panel  # noqa: F401
        from plant.access import register_way_to_plant

        register_way_to_plant("diagnostics.case", "conveyor__plant")
        register_way_to_plant("diagnostics.complaint", "plant")
        register_way_to_plant("diagnostics.hypothesis", "case__conveyor__plant")
        trend_template = "diagnostics/trends/on_conveyor.html"
        register_panel("conveyor", Panel(60, trend_template, trend_panel.on_conveyor))
        register_section(Section(place=40, words=_("Trends"), url_name="trends"))
        register_section(Section(place=50, words=_("Knowledge"), url_name="knowledge"))
