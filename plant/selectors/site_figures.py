"""The site's own figures: how far the feeds are behind, what is owed since when, what was asked."""

from collections import defaultdict
from collections.abc import Iterable

from django.utils import timezone

from plant import owed
from plant.models import RequestCount, SweepCount
from plant.models.site_counts import BOUNDS_S
from plant.selectors import feed_pages, webhooks
from plant.site_figures import Durations, Figure, Sample, Told


def of_feeds() -> list[Told]:
    lag, standing = feed_pages.lag(), feed_pages.standing()
    age_s = (timezone.now() - lag.since).total_seconds() if lag.since else 0.0
    return [
        Figure(
            "feed_lag_changes",
            "Changes that are committed and cannot be read in a feed yet.",
            [Sample(lag.changes)],
        ),
        Figure(
            "feed_lag_seconds",
            "Age of the oldest such change; 0 without one.",
            [Sample(max(0.0, age_s))],
        ),
        Figure(
            "feed_last_number",
            "Number of the newest change that can be read.",
            [Sample(standing.last.number)],
        ),
    ]


def of_webhooks() -> list[Told]:
    backlog = webhooks.backlog()
    return [
        Figure(
            "webhook_backlog_deliveries",
            "Changes owed to webhook targets that are on.",
            [Sample(backlog.owed)],
        ),
        Figure(
            "webhook_oldest_seconds",
            "Age of the oldest of them; 0 without one.",
            [Sample(backlog.oldest_s(timezone.now()))],
        ),
        Figure(
            "webhook_parked_deliveries",
            "Changes set aside after a day of trying; somebody must look.",
            [Sample(backlog.parked)],
        ),
    ]


def of_owed_work() -> list[Told]:
    """Read by each sweep's own rule, so that it counts what the sweep would find."""
    now = timezone.now()
    ages = []
    for name, oldest in owed.oldest_by_name().items():
        since = oldest()
        age_s = max(0.0, (now - since).total_seconds()) if since else 0.0
        ages.append(Sample(age_s, {"sweep": name}))
    words = "Age of the oldest piece of work that is owed; 0 when nothing is."
    return [Figure("owed_oldest_seconds", words, ages)]


def of_sweeps() -> list[Told]:
    rows = list(SweepCount.objects.order_by("name"))
    return [
        Figure(
            "sweep_last_success_timestamp_seconds",
            "When a worker last ended this sweep without a fault.",
            [
                Sample(row.succeeded_at.timestamp(), {"sweep": row.name})
                for row in rows
                if row.succeeded_at
            ],
        ),
        Figure(
            "sweep_last_run_timestamp_seconds",
            "When a worker last began this sweep.",
            [Sample(row.ran_at.timestamp(), {"sweep": row.name}) for row in rows],
        ),
        Figure(
            "sweep_last_duration_seconds",
            "How long that run took.",
            [Sample(row.seconds, {"sweep": row.name}) for row in rows],
        ),
        Figure(
            "sweep_done",
            "Pieces of owed work that were done.",
            [Sample(row.done, {"sweep": row.name}) for row in rows],
            is_counter=True,
        ),
        Figure(
            "sweep_failures",
            "Runs that ended with a fault.",
            [Sample(row.failures, {"sweep": row.name}) for row in rows],
            is_counter=True,
        ),
    ]


def of_requests() -> list[Told]:
    rows = list(RequestCount.objects.order_by("route", "method", "status"))
    counts = [
        Sample(row.count, {"route": row.route, "method": row.method, "status": str(row.status)})
        for row in rows
    ]
    words = "Requests answered, by the pattern of their address."
    return [
        Figure("http_requests", words, counts, is_counter=True),
        Durations(
            "http_request_duration_seconds",
            "From the first line of a request to the head of its answer.",
            BOUNDS_S,
            _durations(rows),
        ),
    ]


def _durations(
    rows: Iterable[RequestCount],
) -> list[tuple[dict[str, str], list[int], int, float]]:
    """Without the status: twenty of them would make twenty times as many lines."""
    under: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0] * len(BOUNDS_S))
    count: dict[tuple[str, str], int] = defaultdict(int)
    seconds: dict[tuple[str, str], float] = defaultdict(float)
    for row in rows:
        key = (row.route, row.method)
        under[key] = [a + b for a, b in zip(under[key], row.under, strict=True)]
        count[key] += row.count
        seconds[key] += row.seconds
    return [
        ({"route": route, "method": method}, under[route, method], count[route, method], total)
        for (route, method), total in seconds.items()
    ]
