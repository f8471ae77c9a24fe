"""Pictures and drawings of a conveyor: what is kept, told, refused, taken back and put back."""

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.db import transaction

from plant import pdf_files, pictures
from plant.file_names import LONGEST, plain_name
from plant.loop.idler_changes import PutIn, TakeOut
from plant.loop.vocabulary import ComponentKind
from plant.models import Attachment, Component, Conveyor
from plant.pdf_files import DocumentRefused
from plant.pictures import PictureRefused
from plant.roles import Role
from plant.selectors import idlers
from plant.services import attaching, keeping_components, keeping_idlers
from plant.services.attaching import DrawingsNotTaken, SentFile, TooManyFiles
from plant.services.register_refusals import RowIsGone, StaleForm
from tests.plant.attached import NOW, a_pdf, attach, attach_pdf, attach_picture
from tests.plant.drawn_pictures import (
    ENGLISH_TEXT,
    HEIC,
    a_jpeg,
    a_png_claiming,
    drawn,
    files_kept,
    written,
)
from tests.plant.factories import make_complete_conveyor, make_conveyor, make_person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clean_storage")]


@pytest.fixture
def clean_storage() -> None:
    for name in files_kept():
        default_storage.delete(name)


@pytest.fixture
def conveyor() -> Conveyor:
    return make_conveyor()


def bytes_of(row: Attachment) -> bytes:
    with row.file.open("rb") as file:
        return file.read()


def test_a_drawing_is_kept_byte_for_byte(conveyor):
    keeper = make_person(Role.PLANNER, plants=[conveyor.plant])

    row = attach_pdf(conveyor, by=keeper, caption=" Take-up frame ", name="Q30-TU-001.pdf")

    assert bytes_of(row) == a_pdf()
    assert (row.kind, row.caption, row.file_name) == ("document", "Take-up frame", "Q30-TU-001.pdf")
    assert (row.size, row.sent_by, row.sent_at) == (len(a_pdf()), keeper, NOW)


def test_a_picture_is_written_anew_without_where_the_phone_was(conveyor):
    exif = drawn().getexif()
    exif.get_ifd(0x8825)[1] = "S"
    exif.get_ifd(0x8769)[0x9003] = "2026:11:20 07:15:00"
    content = written(drawn(), exif=exif) + b"hidden behind the picture"

    row = attach_picture(conveyor, content=content)

    assert b"hidden" not in bytes_of(row)
    assert b"Exif" not in bytes_of(row)
    assert row.taken_at.isoformat() == "2026-11-20T07:15:00+00:00"
    assert (row.width, row.height) == (400, 300)


def test_a_camera_whose_clock_is_ahead_says_nothing(conveyor):
    exif = drawn().getexif()
    exif.get_ifd(0x8769)[0x9003] = "2031:01:01 00:00:00"

    assert attach_picture(conveyor, content=written(drawn(), exif=exif)).taken_at is None


def test_what_a_file_is_its_contents_say_and_not_its_name(conveyor):
    sent = [SentFile(a_pdf(), "IMG_1.jpg"), SentFile(a_jpeg(), "frame.pdf")]

    kept = attach(conveyor, *sent).kept

    assert [one.kind for one in kept] == ["document", "picture"]


@pytest.mark.parametrize(
    ("content", "refusal", "words"),
    [
        (ENGLISH_TEXT, DocumentRefused, "neither a PDF nor a picture"),
        (b"<html><script>alert(1)</script></html>", DocumentRefused, "neither a PDF"),
        (b"PK\x03\x04" + b"\x00" * 200, DocumentRefused, "neither a PDF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>", DocumentRefused, "neither"),
        (b"\n\n%PDF-1.4\n%%EOF", DocumentRefused, "neither a PDF"),
        (a_pdf()[:70], DocumentRefused, "cut off"),
        (b"%PDF-", DocumentRefused, "cut off"),
        (HEIC, PictureRefused, "HEIC"),
        (a_jpeg()[:300], PictureRefused, "cut off"),
        (a_png_claiming(60_000, 60_000), PictureRefused, "megapixels"),
        (b"\x89PNG\r\n\x1a\n" + b"%PDF-1.4 %%EOF" * 9, PictureRefused, "broken"),
    ],
)
def test_what_is_neither_is_refused_by_name_and_nothing_is_left(content, refusal, words, conveyor):
    with pytest.raises(refusal, match=words) as refused:
        attach(conveyor, SentFile(a_pdf("good"), "good.pdf"), SentFile(content, "bad.pdf"))

    assert str(refused.value).startswith("bad.pdf: ")
    assert not Attachment.objects.exists()
    assert files_kept() == []


def test_a_pdf_that_is_a_page_too_stays_a_download_of_a_pdf(conveyor):
    polyglot = a_pdf().replace(b"%%EOF", b"<script>alert(1)</script>\n%%EOF")

    assert attach_pdf(conveyor, content=polyglot, name="x.html").kind == "document"


def test_a_jpeg_that_is_a_pdf_too_keeps_only_its_picture(conveyor):
    row = attach_picture(conveyor, content=a_jpeg() + a_pdf())

    assert row.is_picture
    assert b"%PDF" not in bytes_of(row)


def test_too_large_is_said_with_the_size(conveyor, monkeypatch):
    monkeypatch.setattr(pdf_files, "MOST_BYTES", 100)
    monkeypatch.setattr(pictures, "MOST_BYTES", 100)

    with pytest.raises(DocumentRefused, match="at most"):
        attach_pdf(conveyor, content=a_pdf("x" * 200))
    with pytest.raises(PictureRefused, match="at most"):
        attach_picture(conveyor)


def test_who_keeps_no_drawings_is_told_who_does(conveyor):
    with pytest.raises(DrawingsNotTaken, match="planners and reliability leads"):
        attach_pdf(conveyor, takes_documents=False)

    assert attach_picture(conveyor, takes_documents=False).is_picture


def test_the_same_file_twice_is_kept_once_and_told(conveyor):
    first = attach_pdf(conveyor)

    again = attach(conveyor, SentFile(a_pdf(), "other-name.pdf"), SentFile(a_pdf("2"), "new.pdf"))

    assert again.known == (first,)
    assert [one.file_name for one in again.kept] == ["new.pdf"]
    assert len(files_kept()) == 2


def test_the_same_drawing_may_belong_to_two_components():
    conveyor = make_complete_conveyor()
    head, tail = (conveyor.components.get(name=f"{one} pulley") for one in ("Head", "Tail"))

    assert attach_pdf(conveyor, head).component == head
    assert attach_pdf(conveyor, tail).component == tail


def test_a_component_of_another_conveyor_is_refused(conveyor):
    other = make_complete_conveyor()

    with pytest.raises(RowIsGone):
        attach_pdf(conveyor, other.components.first())

    assert files_kept() == []


def test_a_conveyor_that_is_full_says_so_and_what_to_do(conveyor, monkeypatch):
    monkeypatch.setattr(attaching, "MOST_FILES", 1)
    first = attach_pdf(conveyor)

    with pytest.raises(TooManyFiles, match=r"at most 1 .*Take back"):
        attach_pdf(conveyor, content=a_pdf("2"))
    stand(first, stands=False)
    second = attach_pdf(conveyor, content=a_pdf("2"))
    with pytest.raises(TooManyFiles):
        stand(first, stands=True)

    assert list(Attachment.objects.standing()) == [second]


def test_files_taken_back_still_count_by_their_size(conveyor, monkeypatch):
    monkeypatch.setattr(attaching, "MOST_BYTES", len(a_pdf()) + 20)
    stand(attach_pdf(conveyor), stands=False)

    with pytest.raises(TooManyFiles, match="taken back"):
        attach_pdf(conveyor, content=a_pdf("2"))


def stand(row: Attachment, *, stands: bool, by=None) -> Attachment:
    return attaching.let_stand(
        conveyor_id=row.conveyor_id, attachment_id=row.pk, stands=stands, by=by, now=NOW
    )


def test_what_is_taken_back_says_by_whom_and_can_be_put_back(conveyor):
    lead = make_person(Role.LEAD, plants=[conveyor.plant])
    row = attach_pdf(conveyor)

    gone = stand(row, stands=False, by=lead)
    # Pressed twice, the second press changes nothing.
    assert stand(row, stands=False).taken_back_by == lead
    assert gone.taken_back_at == NOW
    back = stand(row, stands=True, by=lead)

    assert (back.taken_back_at, back.taken_back_by) == (None, None)
    assert bytes_of(back) == a_pdf()


def test_a_caption_that_somebody_changed_meanwhile_is_not_written_over(conveyor):
    row = attach_pdf(conveyor)
    said = {"conveyor_id": conveyor.pk, "attachment_id": row.pk, "version": 1}
    attaching.caption_attachment(caption="first", **said)

    with pytest.raises(StaleForm):
        attaching.caption_attachment(caption="second", **said)

    assert Attachment.objects.get().caption == "first"


def test_files_of_a_transaction_that_fails_are_gone(conveyor, monkeypatch):
    def fails(*_args: object) -> None:
        raise OSError("The disk is full.")

    monkeypatch.setattr(attaching, "_check_room", fails)

    with pytest.raises(OSError, match="full"), transaction.atomic():
        attach_pdf(conveyor)

    assert files_kept() == []


def test_a_split_group_keeps_its_pictures_with_the_row_that_keeps_its_name():
    conveyor = make_complete_conveyor()
    group = conveyor.components.get(name="C")
    row = attach_picture(conveyor, group)
    change = PutIn("C", 50_300, name="SA", kind=ComponentKind.SELF_ALIGNING_IDLER)

    work(conveyor, change)

    assert conveyor.components.filter(kind="troughing_idlers").count() == 2
    row.refresh_from_db()
    assert row.component.name == "C"


def test_a_group_that_goes_leaves_its_pictures_to_the_one_that_takes_its_sets():
    conveyor = make_complete_conveyor()
    work(conveyor, PutIn("C", 50_300, name="SA", kind=ComponentKind.SELF_ALIGNING_IDLER))
    first, second = conveyor.components.filter(kind="troughing_idlers").order_by("first_m")
    row, other = attach_picture(conveyor, first), attach_picture(conveyor, second)

    work(conveyor, TakeOut("SA"))

    (left,) = conveyor.components.filter(kind="troughing_idlers")
    assert {one.component for one in Attachment.objects.filter(pk__in=[row.pk, other.pk])} == {left}


def work(conveyor: Conveyor, change: PutIn | TakeOut) -> None:
    keeping_idlers.change_idlers(
        conveyor_id=conveyor.pk, change=change, stamp=idlers.stamp_of(conveyor), by=None
    )


def test_pictures_of_a_component_that_is_removed_stay_and_name_it():
    conveyor = make_complete_conveyor()
    head = conveyor.components.get(name="Head pulley")
    row = attach_picture(conveyor, head)
    Component.objects.filter(pk=head.pk).update(name="Head drum")

    keeping_components.remove_component(conveyor_id=conveyor.pk, component_id=head.pk, by=None)

    row.refresh_from_db()
    assert (row.component, row.component_name) == (None, "Head drum")


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Drawings\\Q30.pdf", "Q30.pdf"),
        ("a\x00b\r\nc.pdf", "abc.pdf"),
        # U+202E turns what follows round: "gpj.exe" would read "exe.jpg".
        ("frame\u202egpj.exe", "framegpj.exe"),
        ("  Q30   frame .pdf", "Q30 frame .pdf"),
        ("...", ""),
        ("x" * 400 + ".pdf", "x" * (LONGEST - 4) + ".pdf"),
    ],
)
def test_a_name_is_text_and_no_path(sent, kept):
    assert plain_name(sent) == kept


def test_the_newest_of_two_posts_of_one_file_finds_the_first(conveyor):
    later = attach(conveyor, SentFile(a_pdf()), SentFile(a_pdf()), now=NOW + timedelta(days=1))

    assert len(later.kept) == 1
    assert len(files_kept()) == 1
