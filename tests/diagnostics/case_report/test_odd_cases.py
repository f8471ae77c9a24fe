"""Reports of cases that are long, typed oddly or illustrated; and of the same case twice."""

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage

from diagnostics.models import Case, Photo
from diagnostics.selectors.case_report import recorded, seen, sheet
from diagnostics.selectors.case_report.photos import PHOTOS_AT_MOST
from diagnostics.services import diagnosing
from plant.roles import Role
from tests import pdf_reader
from tests.diagnostics.case_report import reports
from tests.diagnostics.factories import (
    later,
    make_conveyor,
    make_person,
    make_plant,
    make_timed_look,
    make_walk_down,
    take,
    walk_with_trouble_on_return,
)

pytestmark = pytest.mark.django_db

TYPED = ['#panic("x")', "*b*", "$x$", "\"quoted\" 'so' --", "<b>&amp;</b>", "@ref <label> // /*"]
# More letters do not go on one line of a sheet at the smallest size.
_LINE = 150


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)


@pytest.fixture
def case(plant):
    return take(make_conveyor(plant)).case


def asked(case):
    return Case.objects.select_related("conveyor__plant", "repeat_of").get(pk=case.pk)


@pytest.mark.parametrize("typed", TYPED)
def test_everything_a_person_typed_stands_as_typed(typed):
    conveyor = make_conveyor(
        make_plant(name=f"plant {typed}"), name=f"belt {typed}", left_words=typed[:40]
    )
    case = take(conveyor, words=f"words {typed}").case
    make_walk_down(case, note=f"noticed {typed}")
    reports.look_often(case, 3, note=f"look {typed}")
    reports.take_photos(case, 1, caption=f"photo {typed}")

    words = reports.words_of(case)

    for what in ("plant", "belt", "words", "noticed", "look", "photo"):
        assert f"{what} {typed}" in words
    assert f"left ({typed[:40]})" in words


def test_right_to_left_and_emoji_are_kept(case):
    case.summary = "חגורה \N{GRINNING FACE} مرحبا"
    case.save()

    words = reports.words_of(case)

    assert "חגורה" in words
    assert "مرحبا" in words
    assert "can only print as boxes: grinning face." in words


def test_ten_thousand_letters_wrap(case):
    make_walk_down(case, note="y" * 10_000)

    pdf = reports.pdf_of(case)

    assert "y" * 100 in pdf_reader.letters_of(pdf)
    assert pdf_reader.letters_of(pdf).count("y") >= 10_000
    assert pdf_reader.longest_line_of(pdf) < _LINE


def test_two_hundred_looks_go_over_pages_with_the_head_repeated(case):
    reports.look_often(case, 200)

    pages = pdf_reader.pages_of(reports.pdf_of(case))

    with_table = [page for page in pages if "half right" in page and "carrying run," in page]
    assert len(with_table) > 2
    assert all("Station Where Belt runs" in page for page in with_table)
    assert sum(page.count("carrying run,") for page in pages) >= 200
    assert "200 looks." in " ".join(pages)


def test_more_looks_than_a_report_holds_are_counted(case, monkeypatch):
    monkeypatch.setattr(seen, "LOOKS_AT_MOST", 5)
    reports.look_often(case, 4)
    make_walk_down(case, note="between")
    reports.look_often(case, 3)

    words = reports.words_of(case)

    assert "7 looks; the latest 5 are listed, the pages show all." in words
    table = words.split("Looks along the belt")[1]
    assert table.count("half right") == 5


def test_six_of_the_photos_are_shown(case):
    reports.take_photos(case, PHOTOS_AT_MOST + 2)

    pdf = reports.pdf_of(case)

    assert pdf_reader.pictures_of(pdf) == PHOTOS_AT_MOST
    words = pdf_reader.words_of(pdf)
    assert "The latest 6 of 8 photos" in words
    assert words.count("R9, bracket bent, 2026-11-02") == PHOTOS_AT_MOST


def test_photo_taken_back_is_not_shown(case):
    reports.take_photos(case, 1)
    Photo.objects.update(taken_back_at=later(hours=2))

    assert pdf_reader.pictures_of(reports.pdf_of(case)) == 0


def test_photo_whose_file_is_gone_leaves_the_rest(case):
    reports.take_photos(case, 2)
    default_storage.delete(Photo.objects.all()[0].small_file.name)

    pdf = reports.pdf_of(case)

    assert pdf_reader.pictures_of(pdf) == 1
    assert "Photos whose file is not there: 1." in pdf_reader.words_of(pdf)


def test_same_case_gives_the_same_bytes(case):
    walk_with_trouble_on_return(case)
    make_timed_look(case)
    diagnosing.diagnose_case(case_id=case.pk, now=later(hours=1))
    reader = make_person(Role.TECHNICIAN)

    assert reports.pdf_of(case, reader) == reports.pdf_of(case, reader)


def test_date_is_that_of_the_latest_record(case):
    walk_with_trouble_on_return(case, now=later(days=2))
    made_at = later(days=3)
    diagnosing.diagnose_case(case_id=case.pk, now=made_at)

    made = sheet.case_report(asked(case), make_person(Role.TECHNICIAN))

    assert made.recorded_until == made_at
    assert made.recorded_until - case.opened_at == timedelta(days=3)


def test_rows_come_in_as_many_queries_for_many_walk_downs(
    case, django_assert_max_num_queries, django_assert_num_queries
):
    reports.look_often(case, 2)
    with django_assert_max_num_queries(20) as few:
        recorded.record_of(asked(case))
    for _ in range(4):
        reports.look_often(case, 9)

    with django_assert_num_queries(len(few)):
        recorded.record_of(asked(case))
