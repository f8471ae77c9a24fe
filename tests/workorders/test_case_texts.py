"""What was written in the orders of a case is found by the search."""

import pytest

from diagnostics.models import SearchEntry
from diagnostics.services import filling_search
from tests.workorders import booked_rows, factories
from workorders.models import OrderNote, OrderPhoto, WorkOrder

pytestmark = pytest.mark.django_db


def text_of(order: WorkOrder) -> str:
    while filling_search.fill_owed():
        pass
    entry = SearchEntry.objects.get(case=order.case)
    return f"{entry.says}\n{entry.more}"


def test_the_correction_and_notes_of_an_order_are_looked_through() -> None:
    order = factories.make_order()
    assert order.title in text_of(order)

    OrderNote.objects.create(order=order, words="shimmed with a brass dunlin", at=factories.NOW)
    WorkOrder.objects.filter(pk=order.pk).update(
        correction={"what": "advance the sanderling end", "where": "R7", "move_mm": 3}
    )

    text = text_of(order)
    assert "brass dunlin" in text
    assert "advance the sanderling end" in text


def test_a_note_that_goes_is_looked_through_no_more() -> None:
    order = factories.make_order()
    note = OrderNote.objects.create(order=order, words="brass dunlin", at=factories.NOW)
    assert "brass dunlin" in text_of(order)

    note.delete()

    assert "brass dunlin" not in text_of(order)


def test_captions_of_its_photos_are_looked_through_until_they_are_taken_back() -> None:
    order = factories.make_order()
    photo = booked_rows.keep_photo(order, caption="brass dunlin")
    assert "brass dunlin" in text_of(order)

    OrderPhoto.objects.filter(pk=photo.pk).update(taken_back_at=factories.NOW)

    assert "brass dunlin" not in text_of(order)


def test_a_note_taken_back_is_looked_through_no_more() -> None:
    order = factories.make_order()
    note = OrderNote.objects.create(order=order, words="brass dunlin", at=factories.NOW)
    assert "brass dunlin" in text_of(order)

    OrderNote.objects.filter(pk=note.pk).update(taken_back_at=factories.NOW)

    assert "brass dunlin" not in text_of(order)
