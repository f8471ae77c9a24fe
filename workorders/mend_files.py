"""The tables of the page of mends to take away; figures as numbers, unknown ones empty."""

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics.class_words import class_words
from workorders import mend_words
from workorders.mend_pages import MARKS, MendPage, course_header, known
from workorders.selectors.mend_lives import Mend

Row = list[Any]


def rows_of(table: str, page: MendPage, now: datetime) -> Iterator[Row]:
    """Header first; KeyError for a table there is not."""
    return FILES[table](page, now)


def _groups(page: MendPage, _now: datetime) -> Iterator[Row]:
    basis, unit = page.mends.basis, {"unit": page.unit}
    header = [
        _("Group"),
        _("Mends"),
        _("Came back"),
        _("Failed on proof"),
        _("Longest watched [%(unit)s]") % unit,
    ]
    for mark in MARKS:
        header += [
            _("Still hold after %(span)s") % {"span": mend_words.span(mark, basis)},
            _("Lower limit"),
            _("Upper limit"),
        ]
    header += [_("Half came back after [%(unit)s]") % unit, _("Lower limit"), _("Upper limit")]
    yield [*header, _("Returns expected if all were alike")]
    for row in page.rows:
        one = row.holding
        figures: Row = []
        for found in (*one.still, one.median):
            figures += [found.value, found.lower, found.upper] if found else [None] * 3
        counts = [one.mends, one.came_back, row.failed_on_proof, one.longest]
        yield [row.words, *counts, *figures, row.expected]


def _course(page: MendPage, _now: datetime) -> Iterator[Row]:
    yield course_header(page.mends.basis)
    for row in page.rows:
        course = row.holding.course
        for step in range(len(course.time)):
            yield [
                row.words,
                float(course.time[step]),
                int(course.at_risk[step]),
                int(course.failed[step]),
                float(course.survival[step]),
                known(course.lower[step]),
                known(course.upper[step]),
            ]


def _watched(page: MendPage, _now: datetime) -> Iterator[Row]:
    yield [
        _("Group"),
        *page.day_headings,
    ]
    for row in page.rows:
        yield [row.words, *row.holding.at_risk]


def _mends(page: MendPage, now: datetime) -> Iterator[Row]:
    yield [
        _("Order"),
        _("Conveyor"),
        _("Case"),
        _("Group"),
        _("Cause family"),
        _("Proof passed"),
        _("Held [%(unit)s]") % {"unit": page.unit},
        _("State"),
        _("Came back as"),
    ]
    for mend in page.mends.rows:
        yield _mend(mend, page, now)


def _mend(mend: Mend, page: MendPage, now: datetime) -> Row:
    life, conveyor = mend.life, mend.order.conveyor
    passed = timezone.localtime(life.proved_at, conveyor.plant.zone_info)
    return [
        life.order_number,
        conveyor.tag,
        life.case_number,
        page.name(mend.group),
        class_words(life.cause_class),
        passed.date(),
        round(mend.held_days, 2),
        mend_words.state_words(mend, now),
        life.back_number,
    ]


FILES: dict[str, Callable[[MendPage, datetime], Iterator[Row]]] = {
    "groups": _groups,
    "course": _course,
    "watched": _watched,
    "mends": _mends,
}
