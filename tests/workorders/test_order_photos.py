"""Photos kept with an order: written anew, kept once, taken back and put back."""

import pytest
from django.core.files.storage import default_storage

from plant.models import Plant
from plant.pictures import PictureRefused
from plant.services.attaching import SentFile
from plant.services.register_refusals import StaleForm
from tests.plant.drawn_pictures import a_jpeg, files_kept
from tests.workorders import factories
from tests.workorders.booked_rows import LATER, keep_photo
from workorders.models import OrderPhoto, WorkOrder
from workorders.order_states import OrderState
from workorders.services import order_photos
from workorders.services.order_photos import TooManyOrderPhotos

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clean_storage")]
AFTER = OrderPhoto.Moment.AFTER
FIRST = a_jpeg(60, 40)


@pytest.fixture
def clean_storage() -> None:
    for name in files_kept():
        default_storage.delete(name)


@pytest.fixture
def work(plant: Plant) -> WorkOrder:
    return factories.make_order_by_hand(factories.make_conveyor(plant))


def stand(row: OrderPhoto, *, stands: bool) -> OrderPhoto:
    return order_photos.let_stand(
        photo_id=row.pk, order_id=row.order_id, stands=stands, by=None, now=LATER
    )


@pytest.mark.parametrize("state", OrderState)
def test_photos_are_kept_in_any_state(work: WorkOrder, state: OrderState) -> None:
    factories.bring_to(work, state)

    row = keep_photo(work, moment=AFTER, caption=" new rolls ")

    assert (row.moment, row.caption, row.width, row.height) == (AFTER, "new rolls", 60, 40)
    assert default_storage.exists(row.file.name)
    assert default_storage.exists(row.small_file.name)


def test_the_same_file_sent_again_is_kept_once_and_told(work: WorkOrder) -> None:
    row = keep_photo(work)

    kept = order_photos.keep_photos(
        order_id=work.pk,
        sent=[SentFile(FIRST, "again.jpg")] * 2,
        moment=AFTER,
        caption="",
        by=None,
        now=LATER,
    )

    assert (kept.fresh, kept.known) == ((), (row,))
    assert OrderPhoto.objects.count() == 1
    # The picture and its small one; what was written for the others is gone.
    assert len(files_kept("orders")) == 2


def test_one_that_is_no_picture_keeps_none_of_them(work: WorkOrder) -> None:
    sent = [SentFile(FIRST, "good.jpg"), SentFile(b"%PDF-1.7", "plan.jpg")]

    with pytest.raises(PictureRefused, match="plan"):
        order_photos.keep_photos(
            order_id=work.pk, sent=sent, moment=AFTER, caption="", by=None, now=LATER
        )

    assert not work.photos.exists()


def test_an_order_holds_so_many_and_no_more(
    work: WorkOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(order_photos, "MOST_PHOTOS", 1)
    row = keep_photo(work)
    with pytest.raises(TooManyOrderPhotos):
        keep_photo(work, a_jpeg(80, 40))

    stand(row, stands=False)
    keep_photo(work, a_jpeg(80, 40))

    with pytest.raises(TooManyOrderPhotos):
        stand(row, stands=True)


def test_a_photo_taken_back_is_put_back_and_the_log_tells_both(work: WorkOrder) -> None:
    row = keep_photo(work, caption="bent frame")

    for stands in (False, False, True):
        stand(row, stands=stands)

    told = list(work.changes.order_by("pk").values_list("kind", "after"))
    assert told == [("photo_taken_back", "bent frame"), ("photo_put_back", "bent frame")]


def test_words_are_changed_by_who_saw_the_last_ones(work: WorkOrder) -> None:
    row = keep_photo(work, caption="bent frame")

    def say(caption: str) -> None:
        order_photos.say_otherwise(
            photo_id=row.pk, order_id=work.pk, moment=AFTER, caption=caption, version=1
        )

    say("straight frame")
    with pytest.raises(StaleForm):
        say("bent again")

    row.refresh_from_db()
    assert (row.caption, row.moment) == ("straight frame", AFTER)
