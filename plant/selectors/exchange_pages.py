"""Exchange files as their pages show them."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, OuterRef, QuerySet, Subquery, Sum

from plant.models import ExchangeCursor, ExchangeFile, ExchangeRun, ExchangeSetting, Feed
from plant.models.webhook import FEED_WORDS

# It speaks every second; before another worker begins again the page says so.
_SILENT_AFTER = timedelta(minutes=1)


def settings_listed(rows: QuerySet[ExchangeSetting]) -> QuerySet[ExchangeSetting]:
    """With the state of the last run that is told."""
    last = ExchangeRun.objects.filter(setting=OuterRef("pk")).values("state")[:1]
    return rows.select_related("plant", "system").annotate(last_state=Subquery(last))


@dataclass(frozen=True)
class FeedStanding:
    """How far a feed was written."""

    feed: Feed
    words: str
    cursor: ExchangeCursor


def feeds_of(setting: ExchangeSetting) -> list[FeedStanding]:
    return [
        FeedStanding(Feed(one.feed), str(FEED_WORDS[Feed(one.feed)]), one)
        for one in setting.cursors.all()
    ]


def runs_of(setting: ExchangeSetting) -> QuerySet[ExchangeRun]:
    """The newest first, each with what it wrote."""
    rows = ExchangeRun.objects.filter(setting=setting).select_related("asked_by")
    counted = rows.annotate(files_written=Count("files"), rows_written=Sum("files__rows"))
    return counted.order_by("-asked_at", "-pk")


def files_of(run: ExchangeRun) -> QuerySet[ExchangeFile]:
    return ExchangeFile.objects.filter(run=run, written_at__isnull=False).order_by("pk")


def owed_run_of(setting: ExchangeSetting) -> ExchangeRun | None:
    return ExchangeRun.objects.owed().filter(setting=setting).first()


def is_silent(run: ExchangeRun, now: datetime) -> bool:
    return run.worked_at is not None and run.worked_at < now - _SILENT_AFTER
