from importlib import import_module

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

_WAYS_TO_PLANT = {
    "calendarfile": "plant",
    "campaign": "plant",
    "crew": "plant",
    "crewabsence": "crew__plant",
    "handovernote": "plant",
    "conditionlimit": "plant",
    "dueitem": "conveyor__plant",
    "dueorder": "conveyor__plant",
    "monthlyreport": "plant",
    "monthlyreportsetting": "plant",
    "outageseries": "plant",
    "outagewindow": "plant",
    "ordermove": "order__conveyor__plant",
    "orderpart": "order__conveyor__plant",
    "orderphoto": "order__conveyor__plant",
    "ordernote": "order__conveyor__plant",
    "part": "plant",
    "partdue": "part__plant",
    "partuse": "part__plant",
    "planrun": "plant",
    "raisingsetting": "plant",
    "statusfile": "setting__plant",
    "shiftmade": "conveyor__plant",
    "timebooking": "order__conveyor__plant",
    "renewal": "conveyor__plant",
    "replacementcosts": "plant",
    "workorder": "conveyor__plant",
}

# Modules whose `register` adds parts to pages of this and other rooms.
_PANELS = (
    "belt_trend_parts",
    "booking_panels",
    "lives_panels",
    "monthly_report_panels",
    "outage_panels",
    "panels",
    "part_panels",
    "proof_panels",
    "raising_panels",
    "sheet_panels",
    "shift_panels",
    "status_file_panels",
)


class WorkordersConfig(AppConfig):
    name = "workorders"
    verbose_name = "Work"

    def ready(self) -> None:
        from plant import access

        import_module("workorders.receivers")
        import_module("workorders.spoken_words").register()
        for model, way in _WAYS_TO_PLANT.items():
            access.register_way_to_plant(f"workorders.{model}", way)
        self._pay_what_is_owed()
        self._answer_the_rooms_below()
        self._add_to_shared_pages()

    def _pay_what_is_owed(self) -> None:
        from plant import owed
        from workorders.selectors import owed_since
        from workorders.services import due_reckoning, plan_runs, reminding
        from workorders.services.month_reports import mailing, making, scheduling
        from workorders.services.outages import series
        from workorders.services.picking_up import looking

        owed.register("reminders", reminding.send_due)
        owed.register("outage windows", series.make_owed)
        owed.register("months to report", scheduling.owe_due)
        owed.register("mails of reports", mailing.send_owed)
        owed.register("monthly reports", making.do_owed, is_long=True)
        owed.register("due lists", due_reckoning.reckon_owed, is_long=True)
        owed.register("status files", looking.look_owed, is_long=True)
        owed.register("plans for outages", plan_runs.do_owed, is_long=True)
        for name, oldest in owed_since.BY_SWEEP.items():
            owed.tell_oldest(name, oldest)

    def _answer_the_rooms_below(self) -> None:
        from diagnostics import case_texts, fixes
        from plant import drawing_layers
        from workorders import drawing_layer, exchange_columns
        from workorders.selectors.case_texts import texts_of_cases
        from workorders.selectors.fixes import fixes_of_cases, raising_address

        exchange_columns.register()
        fixes.register("work orders", fixes_of_cases)
        fixes.register_raising(raising_address)
        case_texts.register("work orders", texts_of_cases)
        drawing_layers.register("work", drawing_layer.on_drawing)

    def _add_to_shared_pages(self) -> None:
        from plant import navigation
        from plant.navigation import Action, Section
        from plant.roles import Role

        navigation.register_section(Section(place=30, words=_("Work"), url_name="work"))
        planners = frozenset({Role.PLANNER})
        proposed = Action(10, planners, _("Decide on proposed orders"), "work", "state=proposed")
        navigation.register_action(proposed)
        self._add_to_trends()
        for name in _PANELS:
            import_module(f"workorders.{name}").register()

    def _add_to_trends(self) -> None:
        from diagnostics import trend_shelf
        from diagnostics.trend_shelf import TrendPage

        trend_shelf.register(TrendPage(40, _("How long mends hold"), "mends"))
        trend_shelf.register(TrendPage(50, _("Before and after"), "campaigns"))
