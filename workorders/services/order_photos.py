"""Photos of an order: taken in, said otherwise, taken back, put back; in any state of it.

Read and written before anything is locked; see plant/services/stored_pictures.py.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from plant.services.attaching import SentFile
from plant.services.register_refusals import RowIsGone, check_version
from plant.services.stored_files import written_files
from plant.services.stored_pictures import StoredPicture, read_one_of, store, when_taken
from workorders.models import OrderChange, OrderPhoto, WorkOrder
from workorders.services.locking import lock_order

MOST_PHOTOS = 60


class TooManyOrderPhotos(DomainError):
    code = "too_many_order_photos"


@dataclass(frozen=True)
class Kept:
    """Rows that are new, rows that were there already."""

    fresh: tuple[OrderPhoto, ...]
    known: tuple[OrderPhoto, ...]


def keep_photos(
    *,
    order_id: int,
    sent: Sequence[SentFile],
    moment: OrderPhoto.Moment,
    caption: str,
    by: User | None,
    now: datetime,
) -> Kept:
    """Keep pictures with an order, all or none; the same file again is not kept twice.

    Refuses with PictureRefused and TooManyOrderPhotos.
    """
    read = {
        hashlib.sha256(one.content).hexdigest(): read_one_of(one.name, one.content, len(sent))
        for one in sent
    }
    with written_files() as files:
        stored = {key: store(picture, files, "orders", now) for key, picture in read.items()}
        with transaction.atomic():
            order = lock_order(order_id)
            known = list(order.photos.filter(sha256__in=stored))
            there = {row.sha256 for row in known}
            rows = [
                _row(order, key, one, moment, caption, by, now)
                for key, one in stored.items()
                if key not in there
            ]
            _check_room(order, len(rows))
            for row in rows:
                row.save()
                files.keep(row.file.name or "", row.small_file.name or "")
            order.save(update_fields=["changed_at"])
    return Kept(tuple(rows), tuple(known))


@transaction.atomic
def say_otherwise(
    *,
    photo_id: int,
    order_id: int,
    moment: OrderPhoto.Moment,
    caption: str,
    version: int | None,
) -> OrderPhoto:
    """Another caption or moment; refuses with StaleForm and RowIsGone."""
    _order, row = _lock(order_id, photo_id)
    check_version(row, version)
    row.moment, row.caption = moment, caption.strip()
    return _saved(row)


@transaction.atomic
def let_stand(
    *, photo_id: int, order_id: int, stands: bool, by: User | None, now: datetime
) -> OrderPhoto:
    """Take a photo back or put it back, as asked; asked for what stands, nothing changes.

    Refuses with TooManyOrderPhotos to put back one too many, and with RowIsGone.
    """
    order, row = _lock(order_id, photo_id)
    if stands is (row.taken_back_at is None):
        return row
    if stands:
        _check_room(order, 1)
    row.taken_back_at, row.taken_back_by = (None, None) if stands else (now, by)
    kind = OrderChange.Kind.PHOTO_PUT_BACK if stands else OrderChange.Kind.PHOTO_TAKEN_BACK
    OrderChange.objects.create(order=order, kind=kind, after=str(row)[:400], at=now, by=by)
    return _saved(row)


def _row(
    order: WorkOrder,
    sha256: str,
    one: StoredPicture,
    moment: OrderPhoto.Moment,
    caption: str,
    by: User | None,
    now: datetime,
) -> OrderPhoto:
    return OrderPhoto(
        order=order,
        moment=moment,
        caption=caption.strip(),
        file=one.file,
        small_file=one.small_file,
        width=one.picture.width,
        height=one.picture.height,
        size=len(one.picture.full),
        sha256=sha256,
        taken_at=when_taken(one.picture, order.conveyor.plant.zone_info, now) or now,
        sent_at=now,
        sent_by=by,
    )


def _check_room(order: WorkOrder, more: int) -> None:
    standing = order.photos.filter(taken_back_at__isnull=True).count()
    if standing + more > MOST_PHOTOS:
        raise TooManyOrderPhotos(
            _("An order holds at most %(most)d photos and this one has %(standing)d. Take back "
              "those that show nothing new.")
            % {"most": MOST_PHOTOS, "standing": standing}
        )  # fmt: skip


def _lock(order_id: int, photo_id: int) -> tuple[WorkOrder, OrderPhoto]:
    order = lock_order(order_id)
    row = OrderPhoto.objects.filter(pk=photo_id, order=order).first()
    if row is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    row.order = order
    return order, row


def _saved(row: OrderPhoto) -> OrderPhoto:
    row.version += 1
    row.save()
    return row
