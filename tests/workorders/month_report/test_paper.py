"""The two sheets: what stands on them, read back from the PDF."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.services import fault_reckoning
from tests.workorders.factories import make_conveyor, make_order_by_hand, make_plant
from tests.workorders.job_papers import reading
from tests.workorders.month_report.rows import NOW, figures_of, make_case, make_cases, make_mend
from workorders.models import WorkOrder
from workorders.month_report.changes import Counted, Verdict, changes_of
from workorders.month_report.figures import Figures
from workorders.month_report_shown import lists, paper, tables

pytestmark = pytest.mark.django_db


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Figures:
    """A belt that got worse, one that got better, mends, and work that waits."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    plant = make_plant(code="LT", name="Larkwater Terminal")
    worse = make_conveyor(plant, tag="Q30", name="Quay conveyor", hour_costs=Decimal("1000"))
    better = make_conveyor(plant, tag="P11", name="Shed incline")
    make_cases(worse, "2025-09-01", "2026-01-10")
    for month in (8, 9, 10):
        make_cases(worse, *(f"2026-{month:02d}-{day:02d}" for day in (4, 9, 19)))
    make_case(worse, "2026-10-21", lost_hours=Decimal("12.5"))
    for month in (8, 9, 10, 11, 12):
        make_cases(better, *(f"2025-{month:02d}-{day:02d}" for day in (2, 8, 14, 20)))
    other = make_conveyor(plant, tag="G40")
    make_mend(other, "2026-04-20", title="Square [#carrying] $idlers$ *all*")
    make_mend(other, "2026-08-20", back="2026-10-03", title="Clean the tail pulley")
    order = make_order_by_hand(worse, now=NOW)
    WorkOrder.objects.filter(pk=order.pk).update(due_on="2026-11-01", state="approved")
    fault_reckoning.reckon_now(plant, tell=lambda _share: None)
    return figures_of(plant)


def test_the_first_sheet_says_who_changed_what_held_and_what_to_do(told: Figures):
    first, second = reading.pages_of(paper.pdf_of(told))

    assert "Belts in October 2026" in first
    assert "5 cases were opened, 1 of them a fault that came back;" in first
    assert "Got worse: Q30. Got better: P11." in first
    # Ten cases in 92 days against 2 in 365; none against 20.
    assert "Q30 20 times as often (" in first
    assert "10 cases in 3 months, 2 cases in the 12 before" in first
    assert "no case in 3 months, 20 cases in the 12 before" in first
    assert "held through 180 days" in first
    assert "Clean the tail pulley: came back after 44 days" in first
    assert "12.5 h nobody said of 4 of 5 cases" in first
    assert "12,500" in first
    assert "1 order is overdue:" in first
    assert "Nobody noted the lost hours of 4 of 5 cases." in first
    assert "Q30 Quay conveyor 12 0 12.5 h" in first
    assert "Q30 Walk it, with a timed look" in first
    assert "1 of 2" in first
    assert "Each belt against its own year before" in second
    assert "false discovery rate" in second


def test_what_people_typed_is_never_read_as_markup(told: Figures):
    assert "Square [#carrying] $idlers$ *all*" in reading.words_of(paper.pdf_of(told))


def test_the_same_figures_give_the_same_file(told: Figures):
    assert paper.pdf_of(told) == paper.pdf_of(told)


def test_however_much_happened_it_stays_two_sheets(told: Figures):
    long = "A title as long as titles may be " * 6
    mends = [replace(one, title=long[:200]) for one in told.mends.held * 30]
    belts = [
        replace(told.compared.belts[0], name=f"CONVEYOR-WITH-A-LONG-TAG-{n}") for n in range(40)
    ]
    rows = [replace(one, title=long[:200], why=long) for one in told.to_do.rows * 12]
    worst = [replace(one, name=long[:120], step=long) for one in told.ranking.belts * 3][:5]
    full = replace(
        told,
        compared=replace(told.compared, belts=tuple(belts), families=tuple(belts[:10])),
        mends=replace(told.mends, held=tuple(mends), came_back=tuple(mends)),
        to_do=replace(told.to_do, rows=tuple(rows), proofs=40, not_begun=3, waiting_people=9),
        ranking=replace(told.ranking, belts=tuple(worst)),
    )

    assert len(reading.pages_of(paper.pdf_of(full))) == 2


def test_a_month_without_anything_says_so_in_every_place():
    words = reading.words_of(paper.pdf_of(figures_of(make_plant(name="Fennel Quarry"))))

    assert "No case was opened;" in words
    assert "There was none in the twelve months before either." in words
    assert "No belt had a case in these fifteen months." in words
    assert "Nothing that had been mended came back." in words
    assert "Nothing is overdue, waits or has to be proved." in words
    assert "No belt is ranked yet" in words


def test_lost_hours_that_nobody_noted_are_a_dash_with_the_reason():
    belt = make_conveyor(make_plant())
    make_case(belt, "2026-10-05")

    words = reading.words_of(paper.pdf_of(figures_of(belt.plant)))

    assert "– nobody said of 1 of 1 cases" in words
    assert "– no lost hours noted on a belt whose hour has a price" in words


def test_what_moved_within_chance_is_named_only_where_it_tells_something(told: Figures):
    [rising] = changes_of([Counted("R1", 9, 5, 365.0, 92.0)])
    [falling] = changes_of([Counted("F1", 15, 1, 365.0, 92.0)])
    [untold] = changes_of([Counted("U1", 3, 0, 365.0, 92.0)])
    open_ones = tuple(replace(one, verdict=Verdict.OPEN.value) for one in (rising, falling, untold))
    moved = replace(told, compared=replace(told.compared, belts=open_ones))

    worse, better = lists.changed(moved, Verdict.WORSE), lists.changed(moved, Verdict.BETTER)

    assert [line.lead for line in worse.lines] == ["R1"]
    assert [line.lead for line in better.lines] == ["F1"]
    assert worse.lines[0].text.startswith("too early to say: 2.2 times as often (")
    assert worse.none


def test_orders_that_have_no_room_are_counted(told: Figures):
    row = told.to_do.rows[0]
    rows = tuple(replace(row, order=f"LT-W-{number:04d}") for number in range(12))

    few = replace(told.to_do, rows=rows[:8], overdue=8, proofs=3, waiting_parts=0, not_begun=0)
    all_shown = tables.orders(replace(told, to_do=few))
    many = replace(few, rows=rows, overdue=15)
    cut = tables.orders(replace(told, to_do=many))

    # Eight orders, three of them for two reasons: six are shown.
    assert all_shown.note.startswith("2 more;")
    # At least the fifteen overdue ones, of which six are shown.
    assert cut.note.startswith("At least 9 more;")
