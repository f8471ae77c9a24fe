"""Since when the oldest piece of work of each sweep is owed; None when nothing is."""

from datetime import datetime
from typing import Any

from django.db.models import Min, QuerySet

from plant.models import ExchangeRun, PasswordLink, RegisterImport
from plant.owed import Oldest
from plant.selectors import feed_pages, webhooks


def oldest_of(rows: QuerySet[Any], field: str) -> datetime | None:
    """For the rooms above, too."""
    found: datetime | None = rows.aggregate(oldest=Min(field))["oldest"]
    return found


def _password_links() -> datetime | None:
    return oldest_of(PasswordLink.objects.filter(sent_at__isnull=True), "asked_at")


def _changes() -> datetime | None:
    return feed_pages.lag().since


def _register_files() -> datetime | None:
    return oldest_of(RegisterImport.objects.owed(), "made_at")


def _exchange_files() -> datetime | None:
    return oldest_of(ExchangeRun.objects.owed(), "asked_at")


def _webhooks() -> datetime | None:
    return webhooks.backlog().oldest_at


BY_SWEEP: dict[str, Oldest] = {
    "password links": _password_links,
    "numbers of changes": _changes,
    "register files": _register_files,
    "exchange files": _exchange_files,
    "webhooks": _webhooks,
}
