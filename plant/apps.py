from importlib import import_module

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class PlantConfig(AppConfig):
    name = "plant"
    verbose_name = "Register"

    def ready(self) -> None:
        from django.db.models.signals import post_migrate

        from plant import drawing_layers, first_records, navigation, owed, panels, roles, roll_layer
        from plant.navigation import Action, Panel, Section
        from plant.roles import Role
        from plant.selectors.watched_since import first_readings
        from plant.services import (
            feed_numbering,
            idempotency,
            importing,
            pacing,
            passwords,
            webhook_sending,
        )
        from plant.services.exchange import asking, running

        import_module("plant.config.checks")
        import_module("plant.spoken_words").register()
        import_module("plant.site_watching").register()
        post_migrate.connect(roles.keep_groups, dispatch_uid="keep role groups")
        owed.register("password links", passwords.send_owed_links)
        owed.register("numbers of changes", feed_numbering.number_owed)
        owed.register("weeks of the change feeds", feed_numbering.keep_weeks_owed)
        owed.register("answers of the API", idempotency.forget_owed)
        owed.register("exchange files due", asking.owe_due)
        owed.register("exchange files", running.do_owed, is_long=True)
        owed.register("counts of requests", pacing.forget_owed)
        owed.register("webhooks", webhook_sending.send_owed, is_sending=True)
        owed.register("old webhook deliveries", webhook_sending.forget_old_deliveries)
        owed.register("register files", importing.do_owed, is_long=True)
        drawing_layers.register("rolls", roll_layer.on_drawing)
        first_records.register("meter readings", first_readings)
        navigation.register_section(Section(place=10, words=_("Today"), url_name="today"))
        navigation.register_section(Section(place=20, words=_("Conveyors"), url_name="conveyors"))
        administer = frozenset({Role.ADMINISTRATOR})
        navigation.register_action(Action(5, administer, _("People and their roles"), "people"))
        navigation.register_panel("today", Panel(80, "plant/parts/today.html", panels.on_today))
        meters = Panel(55, "plant/meters/on_conveyor.html", panels.meters_on_conveyor)
        navigation.register_panel("conveyor", meters)
        readings = Panel(58, "plant/condition/on_conveyor.html", panels.readings_on_conveyor)
        navigation.register_panel("conveyor", readings)
        of_component = Panel(40, "plant/condition/on_conveyor.html", panels.readings_on_component)
        navigation.register_panel("component", of_component)
        rolls = Panel(60, "plant/rolls/on_conveyor.html", panels.rolls_on_conveyor)
        navigation.register_panel("conveyor", rolls)
        files = "plant/attachments/on_page.html"
        on_conveyor = Panel(65, files, panels.attachments_on_conveyor)
        on_component = Panel(65, files, panels.attachments_on_component)
        navigation.register_panel("conveyor", on_conveyor)
        navigation.register_panel("component", on_component)
        labels = Panel(90, "plant/labels/on_conveyor.html", panels.labels_on_conveyor)
        navigation.register_panel("conveyor", labels)
