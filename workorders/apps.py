from importlib import import_module

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

_WAYS_TO_PLANT = {
    "calendarfile": "plant",
    "crew": "plant",
    "crewabsence": "crew__plant",
    "handovernote": "plant",
    "conditionlimit": "plant",
    "dueitem": "conveyor__plant",
    "dueorder": "conveyor__plant",
    "outageseries": "plant",
    "outagewindow": "plant",
    "orderpart": "order__conveyor__plant",
    "orderphoto": "order__conveyor__plant",
    "ordernote": "order__conveyor__plant",
    "part": "plant",
    "partdue": "part__plant",
    "partuse": "part__plant",
    "planrun": "plant",
    "raisingsetting": "plant",
    "shiftmade": "conveyor__plant",
    "timebooking": "order__conveyor__plant",
    "renewal": "conveyor__plant",
    "replacementcosts": "plant",
    "workorder": "conveyor__plant",
}


class WorkordersConfig(AppConfig):
    name = "workorders"
    verbose_name = "Work"

    def ready(self) -> None:
        from diagnostics import case_texts, fixes
        from plant import access, drawing_layers, navigation, owed
        from plant.navigation import Action, Panel, Section
        from plant.roles import Role
        from workorders import (
            booking_panels,
            drawing_layer,
            lives_panels,
            outage_panels,
            panels,
            part_panels,
            proof_panels,
            raising_panels,
            sheet_panels,
            shift_panels,
        )
        from workorders.selectors.case_texts import texts_of_cases
        from workorders.selectors.fixes import fixes_of_cases
        from workorders.services import due_reckoning, plan_runs, reminding
        from workorders.services.outages import series

        import_module("workorders.receivers")
        proof_panels.register()
        raising_panels.register()
        sheet_panels.register()
        shift_panels.register()
        drawing_layers.register("work", drawing_layer.on_drawing)
        for model, way in _WAYS_TO_PLANT.items():
            access.register_way_to_plant(f"workorders.{model}", way)
        owed.register("reminders", reminding.send_due)
        owed.register("due lists", due_reckoning.reckon_owed, is_long=True)
        owed.register("plans for outages", plan_runs.do_owed, is_long=True)
        owed.register("outage windows", series.make_owed)
        fixes.register("work orders", fixes_of_cases)
        case_texts.register("work orders", texts_of_cases)
        navigation.register_section(Section(place=30, words=_("Work"), url_name="work"))
        planners = frozenset({Role.PLANNER})
        proposed = Action(10, planners, _("Decide on proposed orders"), "work", "state=proposed")
        navigation.register_action(proposed)
        folder = "workorders/parts"
        navigation.register_panel("case", Panel(30, f"{folder}/on_case.html", panels.on_case))
        navigation.register_panel(
            "conveyor", Panel(30, f"{folder}/on_conveyor.html", panels.on_conveyor)
        )
        due = Panel(15, "workorders/lives/on_order.html", lives_panels.due_on_order)
        navigation.register_panel("order", due)
        wear = "workorders/lives/on_page.html"
        navigation.register_panel("conveyor", Panel(35, wear, lives_panels.wear_on_conveyor))
        navigation.register_panel("component", Panel(35, wear, lives_panels.wear_on_component))
        navigation.register_panel("today", Panel(30, f"{folder}/on_today.html", panels.on_today))
        parts = "workorders/catalogue"
        on_order = Panel(25, f"{parts}/on_order.html", part_panels.parts_on_order)
        navigation.register_panel("order", on_order)
        on_component = Panel(30, f"{parts}/on_component.html", part_panels.parts_on_component)
        navigation.register_panel("component", on_component)
        booking_panels.register()
        unfit = Panel(28, "workorders/outages/on_today.html", outage_panels.unfit_today)
        navigation.register_panel("today", unfit)
        windows = Panel(
            32, "workorders/outages/on_conveyor.html", outage_panels.windows_on_conveyor
        )
        navigation.register_panel("conveyor", windows)
