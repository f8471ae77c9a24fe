from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

from plant import navigation
from plant.navigation import Action, Panel, Section
from plant.roles import Role

_NO_CLERKS = frozenset(Role) - {Role.CLERK}
_TO_CONFIRM = "state=to+be+confirmed"
_WAYS_TO_PLANT = {
    "baserateweights": "plant",
    "beltfaults": "reckoning__plant",
    "case": "conveyor__plant",
    "casemove": "case__conveyor__plant",
    "complaint": "plant",
    "diagnosis": "case__conveyor__plant",
    "faultreckoning": "plant",
    "fieldnote": "plant",
    "finding": "case__conveyor__plant",
    "hypothesis": "case__conveyor__plant",
    "knowledgebundle": "plant",
    "knowledgechange": "edition__plant",
    "knowledgeedition": "plant",
    "knowledgetrial": "edition__plant",
    "notephoto": "note__plant",
    "photo": "case__conveyor__plant",
    "setaside": "case__conveyor__plant",
    "sighting": "walk_down__case__conveyor__plant",
    "timedlook": "case__conveyor__plant",
    "triedcase": "trial__edition__plant",
    "walkdown": "case__conveyor__plant",
}
_BUNDLE_ON_DRAFT = "diagnostics/bundles/on_draft.html"
_ACTIONS = (
    Action(10, frozenset({Role.CLERK}), _("Take a complaint"), "complaint-new"),
    Action(
        12,
        frozenset({Role.TECHNICIAN}),
        _("Cases to be looked at"),
        "cases",
        "state=to+be+looked+at",
    ),
    Action(14, frozenset({Role.LEAD}), _("Causes to be confirmed"), "cases", _TO_CONFIRM),
    Action(80, frozenset({Role.PLANNER, Role.ADMINISTRATOR}), _("Open cases"), "cases"),
    # Last, so that it is a large button for nobody but the clerk.
    Action(90, _NO_CLERKS, _("Take a complaint"), "complaint-new", "from=today"),
)


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"
    verbose_name = "Diagnosis"

    def ready(self) -> None:
        # Importing registers the system check, and what listens to the register.
        from diagnostics import (
            belt_parts,
            checks,  # noqa: F401
            drawing_layer,
            exchange_columns,
            receivers,  # noqa: F401
            spoken_words,
        )
        from diagnostics.selectors import owed_since
        from diagnostics.selectors.first_cases import first_cases
        from diagnostics.services import (
            diagnosing,
            fault_reckoning,
            filling_search,
            knowledge_trying,
        )
        from plant import access, drawing_layers, first_records, owed

        for model, way in _WAYS_TO_PLANT.items():
            access.register_way_to_plant(f"diagnostics.{model}", way)
        exchange_columns.register()
        first_records.register("cases", first_cases)
        owed.register("diagnoses", diagnosing.pay_owed)
        owed.register("search", filling_search.fill_owed)
        owed.register("trials of drafts", knowledge_trying.do_owed, is_long=True)
        owed.register("recurring faults", fault_reckoning.do_owed, is_long=True)
        for name, oldest in owed_since.BY_SWEEP.items():
            owed.tell_oldest(name, oldest)
        navigation.register_section(
            Section(place=40, words=_("Trends"), url_name="repeat-offenders", within="trends")
        )
        navigation.register_section(Section(place=50, words=_("Knowledge"), url_name="knowledge"))
        self._add_to_shared_pages()
        drawing_layers.register("cases and looks", drawing_layer.on_drawing)
        belt_parts.register()
        spoken_words.register()

    def _add_to_shared_pages(self) -> None:
        from diagnostics import (
            bundle_panel,
            learning_panel,
            note_panel,
            offender_panel,
            panels,
            photo_panel,
            trend_panel,
            trial_panel,
        )

        parts, trying = "diagnostics/parts", "diagnostics/trials"
        for page, panel in (
            ("case", Panel(20, "diagnostics/photos/on_case.html", photo_panel.on_case)),
            ("case", Panel(90, "diagnostics/learning/on_case.html", learning_panel.on_case)),
            ("conveyor", Panel(20, f"{parts}/on_conveyor.html", panels.on_conveyor)),
            ("cause", Panel(25, "diagnostics/notes/on_page.html", note_panel.on_cause)),
            ("conveyor", Panel(25, "diagnostics/notes/on_page.html", note_panel.on_conveyor)),
            ("component", Panel(25, "diagnostics/notes/on_page.html", note_panel.on_component)),
            ("conveyor", Panel(50, "diagnostics/what_if/on_conveyor.html", panels.what_if)),
            ("conveyor", Panel(60, "diagnostics/trends/on_conveyor.html", trend_panel.on_conveyor)),
            ("conveyor", Panel(70, "diagnostics/register_check/on_conveyor.html", panels.check)),
            ("knowledge-draft", Panel(10, f"{trying}/on_draft.html", trial_panel.on_draft)),
            ("knowledge-draft", Panel(60, _BUNDLE_ON_DRAFT, bundle_panel.on_draft)),
            ("today", Panel(10, f"{parts}/today_complaints.html", panels.complaints_today)),
            ("today", Panel(12, f"{parts}/today_cases.html", panels.walking_today)),
            ("today", Panel(14, f"{parts}/today_causes.html", panels.confirming_today)),
            ("today", Panel(16, "diagnostics/offenders/today.html", offender_panel.worst_today)),
        ):
            navigation.register_panel(page, panel)
        for action in _ACTIONS:
            navigation.register_action(action)
