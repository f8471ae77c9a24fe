from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class WorkordersConfig(AppConfig):
    name = "workorders"
    verbose_name = "Work"

    def ready(self) -> None:
        from plant import access, navigation
        from plant.navigation import Section

        access.register_way_to_plant("workorders.workorder", "conveyor__plant")
        navigation.register_section(Section(place=3, words=_("Work"), url_name="work"))
