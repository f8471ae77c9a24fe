"""What was picked up, on the page of a system's files; what status files hold, on that of forms."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from plant import navigation
from plant.config.celery import SWEEP_EVERY_S
from plant.models import ExchangeSetting
from plant.navigation import Panel
from workorders.models import StatusFile
from workorders.order_states import OrderState
from workorders.selectors import status_files as selectors
from workorders.services.picking_up import looking
from workorders.status_files import tables

_NEWEST = 8
_COLUMNS = (
    ("number", _("our number of the order: LT-W-0042")),
    ("external_number", _("its number in the other system; finds the order where number is empty")),
    ("state", _("the state it shall have")),
    ("planned_for", _("for scheduled: day and time, 2026-11-17T11:00:00Z or by the plant's clock")),
    ("why", _("a reason, which going back and setting aside need")),
    ("hours", _("hours worked, above 0 and at most 24; a row books once")),
    ("day", _("the day they were worked, 2026-11-17; empty: the day it is picked up")),
    ("worker", _("who worked: the address somebody signs in with, or a name; empty: the system")),
    ("note", _("a note on the order")),
    ("set_external_number", _("the number in the other system, to be kept with the order")),
    ("version", _("refused where the order has another by now; empty: not asked")),
    ("id", _("the other system's own mark of the row; empty: file and row tell it")),
)


def register() -> None:
    navigation.register_panel(
        "exchange", Panel(10, "workorders/status_files/on_exchange.html", _on_exchange)
    )
    navigation.register_panel(
        "exchange-format", Panel(10, "workorders/status_files/format.html", _on_format)
    )


def _on_exchange(_request: HttpRequest, setting: ExchangeSetting) -> dict[str, Any] | None:
    if not (setting.picks_up or StatusFile.objects.filter(setting=setting).exists()):
        return None
    return {
        "pick_up": selectors.pick_up_of(setting),
        "files": list(selectors.files_of(setting)[:_NEWEST]),
        "every_s": _every_s(),
    }


def _every_s() -> int:
    """With a broker nobody looks more often than the sweeps are woken."""
    own = looking.EVERY.total_seconds()
    return round(max(own, SWEEP_EVERY_S) if settings.BROKER_URL else own)


def _on_format(_request: HttpRequest, _row: Any) -> dict[str, Any]:
    return {
        "columns": _COLUMNS,
        "states": [state.value for state in OrderState if state is not OrderState.PROVED],
        "quiet_s": round(looking.QUIET_S),
        "largest_mb": tables.LARGEST_FILE_BYTES // 1_000_000,
        "most_rows": tables.MOST_ROWS,
        "kept_days": looking.KEPT_FOR.days,
    }
