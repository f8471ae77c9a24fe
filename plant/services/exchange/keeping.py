"""Setting up what a system gets as files, and changing, beginning anew, ending that."""

import logging
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, time

from django.db import transaction
from django.utils.translation import gettext as _

from plant.exchange import names, schedule
from plant.models import ConnectedSystem, ExchangeCursor, ExchangeSetting, Feed, Plant, User
from plant.selectors import feed_pages
from plant.services import feed_reading
from plant.services.register_refusals import FieldRefusal, check_version, row_of

logger = logging.getLogger(__name__)


class ExchangeRefused(FieldRefusal):
    code = "exchange_refused"


@dataclass(frozen=True)
class Wanted:
    name: str
    folder: str
    feeds: Collection[str]
    format: str
    every_minutes: int | None
    daily_at: time | None
    system: ConnectedSystem | None = None
    is_on: bool = True
    picks_up: bool = False
    spares_own: bool = True
    writes_sign_of_life: bool = False


@transaction.atomic
def set_up(
    *, plant: Plant, wanted: Wanted, begins_with_all: bool, by: User | None, now: datetime
) -> ExchangeSetting:
    """Begin to write for a system: with all that stands, or with what changes from now on.

    Refuses with ExchangeRefused.
    """
    _lock(plant)
    setting = ExchangeSetting(plant=plant, version=0)
    _write(setting, wanted, by, now)
    _follow(setting, begins_with_all=begins_with_all)
    logger.info("Files of %s for %s set up by %s.", plant.code, setting.pk, by)
    return setting


@transaction.atomic
def change(
    *, setting_id: int, wanted: Wanted, version: int | None, by: User | None, now: datetime
) -> ExchangeSetting:
    """What it is told of newly begins with all that stands.

    Refuses with ExchangeRefused, StaleForm and RowIsGone.
    """
    setting = _locked(setting_id)
    check_version(setting, version)
    _write(setting, wanted, by, now)
    _follow(setting, begins_with_all=True)
    return setting


@transaction.atomic
def start_anew(*, setting_id: int, feed: str, by: User | None, now: datetime) -> ExchangeSetting:
    """The next run writes all that stands of a feed and goes on from there."""
    setting = _locked(setting_id)
    cursors = setting.cursors.filter(feed=feed)
    # What was about to be written is told by the snapshot, too.
    if cursors.update(owes_snapshot=True, lost_at=None):
        setting.files.filter(feed=feed, written_at__isnull=True).delete()
    logger.info("Files of %s for %s begin anew, asked by %s.", feed, setting_id, by)
    return setting


@transaction.atomic
def end(*, setting_id: int, by: User | None) -> None:
    """No more files; those that were written stay in their folder."""
    if ExchangeSetting.objects.filter(pk=setting_id).delete()[0]:
        logger.info("Files for %s ended by %s.", setting_id, by)


def _lock(plant: Plant) -> None:
    """Whoever changes a setting of the plant does it alone."""
    Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)


def _locked(setting_id: int) -> ExchangeSetting:
    setting = row_of(ExchangeSetting.objects, setting_id)
    _lock(setting.plant)
    return row_of(ExchangeSetting.objects, setting_id)


def _write(setting: ExchangeSetting, wanted: Wanted, by: User | None, now: datetime) -> None:
    _check(setting, wanted)
    for name, value in vars(wanted).items():
        setattr(setting, name, value)
    setting.feeds = [feed for feed in Feed.values if feed in wanted.feeds]
    setting.next_at = next_due(setting, now) if wanted.is_on else None
    setting.set_at, setting.set_by = now, by
    setting.version += 1
    setting.save()


def next_due(setting: ExchangeSetting, now: datetime) -> datetime:
    return schedule.next_due(
        now,
        setting.plant.zone_info,
        every_minutes=setting.every_minutes,
        daily_at=setting.daily_at,
    )


def _check(setting: ExchangeSetting, wanted: Wanted) -> None:
    if not names.is_folder(wanted.folder):
        raise ExchangeRefused(
            _("Small letters, digits, - and _ only, beginning with a letter or digit."), "folder"
        )
    if not (wanted.feeds or wanted.picks_up):
        raise ExchangeRefused(_("Tick at least one, or let it pick up status files."), "feeds")
    if (wanted.every_minutes is None) == (wanted.daily_at is None):
        raise ExchangeRefused(
            _("Give either a number of minutes or a time of day."), "every_minutes"
        )
    if wanted.system is not None and wanted.system.plant_id != setting.plant_id:
        raise ExchangeRefused(_("That system is another plant's."), "system")
    others = ExchangeSetting.objects.filter(plant=setting.plant).exclude(pk=setting.pk)
    if others.filter(folder=wanted.folder).exists():
        raise ExchangeRefused(_("Another system of this plant has this folder."), "folder")
    if others.filter(name=wanted.name).exists():
        raise ExchangeRefused(_("Another system of this plant has this name."), "name")


def _follow(setting: ExchangeSetting, *, begins_with_all: bool) -> None:
    """A place in each feed that is wanted, none in the others."""
    setting.cursors.exclude(feed__in=setting.feeds).delete()
    # Planned from what was wanted before; the same changes are planned anew.
    setting.files.filter(written_at__isnull=True).delete()
    known = set(setting.cursors.values_list("feed", flat=True))
    # A snapshot finds its own place.
    here = feed_pages.BEGINNING if begins_with_all else feed_reading.now_in_feed()
    for feed in setting.feeds:
        if feed not in known:
            ExchangeCursor.objects.create(
                setting=setting,
                feed=feed,
                number=here.number,
                at=here.at,
                owes_snapshot=begins_with_all,
            )
