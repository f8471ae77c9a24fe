"""What this room tells a program that watches the site, and how it hears of it."""

from plant import owed, site_figures
from plant.selectors import owed_since
from plant.selectors import site_figures as own
from plant.services import sweep_counts


def register() -> None:
    site_figures.register("feeds", own.of_feeds)
    site_figures.register("webhooks", own.of_webhooks)
    site_figures.register("owed work", own.of_owed_work)
    site_figures.register("sweeps", own.of_sweeps)
    site_figures.register("requests", own.of_requests)
    for name, oldest in owed_since.BY_SWEEP.items():
        owed.tell_oldest(name, oldest)
    owed.watch("counts", sweep_counts.note)
