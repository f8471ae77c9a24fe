"""Why a register file, a row or a cell is refused, in the reader's language."""

from collections.abc import Sequence
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

FILE: dict[str, str | Promise] = {
    "broken_letters": _(
        "In row %(row)s letters are broken. Save the file as UTF-8 and send it again."
    ),
    "broken_record": _("Row %(row)s is broken: a quotation mark is missing or out of place."),
    "broken_sheet": _("Sheet %(sheet)s cannot be read from row %(row)s on. Save the file anew."),
    "broken_workbook": _(
        "This workbook cannot be opened. Save it anew as .xlsx and send it again."
    ),
    "column_missing": _(
        "Sheet %(sheet)s, row %(row)s: no column is called %(missing)s. Found: %(found)s."
    ),
    "column_twice": _(
        "Sheet %(sheet)s, row %(row)s: columns %(column)s and %(other)s mean the same. "
        "Take one out or rename it."
    ),
    "empty_file": _("The file is empty."),
    "failed": _("Something went wrong here, not with your file. It is kept; read it again."),
    "file_too_large": _("The file is larger than %(most)s MB. Send it in parts."),
    "formula_in_header": _(
        "Sheet %(sheet)s, row %(row)s, column %(column)s: the header is a formula. Write its words."
    ),
    "merged_cells": _("Sheet %(sheet)s: cells %(cells)s are merged. Split them, one row each."),
    "no_header_found": _(
        "No row of the file holds the columns of a register sheet. Compare with the template."
    ),
    "no_rows": _("The file has a header, but no rows below it."),
    "no_table": _("This is no table. Send a file with the ending .xlsx or .csv."),
    "no_workbook": _("This is no workbook. Save it as .xlsx or .csv and send it again."),
    "not_read": _("This file is not ready to be taken in. Read it again first."),
    "nothing_to_do": _("Nothing in the file differs from the register."),
    "old_or_locked_workbook": _(
        "This workbook is locked by a password or of the old kind .xls. Save it as .xlsx without "
        "a password."
    ),
    "register_changed": _(
        "The register has changed since this file was compared with it. Nothing was taken in: "
        "read it again and look at the rows once more."
    ),
    "rows_refused": _(
        "%(count)s rows are refused. All rows are taken in or none: mend them and send the file "
        "again."
    ),
    "said": _("Nothing was taken in: %(text)s"),
    "sheet_empty": _("Sheet %(sheet)s is empty."),
    "sheet_twice": _(
        "Sheets %(other)s and %(sheet)s hold the same kind of rows. Put them together."
    ),
    "too_many_cells": _("Sheet %(sheet)s holds more than %(most)s cells up to row %(row)s."),
    "too_many_columns": _(
        "Sheet %(sheet)s, row %(row)s: %(count)s columns. At most %(most)s are read."
    ),
    "too_many_parts": _(
        "This workbook has more than %(most)s parts. Save its sheets in a new one."
    ),
    "too_many_rows": _("Sheet %(sheet)s has more than %(most)s rows. Send it in parts."),
    "too_many_sheets": _("This workbook has more than %(most)s sheets."),
    "unpacks_too_large": _("This workbook unpacks to more than %(most)s MB. It is not opened."),
    "unseen_letter_in_file": _(
        "Row %(row)s holds a letter that cannot be shown. Save the file as UTF-8 and send it again."
    ),
    "wrong_unit_in_header": _(
        "Sheet %(sheet)s, row %(row)s, column %(column)s: “%(unit)s” is no unit for it. Write "
        "%(wanted)s or a unit of the same kind."
    ),
}
REMARKS: dict[str, str | Promise] = {
    "columns_not_read": _("Sheet %(sheet)s: not read are columns %(columns)s."),
    "sheet_not_read": _("Sheet %(sheet)s is not read: it holds no columns of the register."),
}
ROWS: dict[str, str | Promise] = {
    "belt_is_fitted": _("The conveyor would have two belts on it. Say when the other came off."),
    "belt_too_short": _("A splice or mark stands at %(at)s m; the belt cannot be shorter."),
    "belts_alike": _("%(count)s belts could be meant. Say the name and both days."),
    "cell_too_long": _("more than %(most)s letters"),
    "component_needed": _("A reading needs its component, or a quantity that is read on belts."),
    "date_for_number": _("%(cell)s is a date, not a number. Write the figure again."),
    "day_or_month": _("%(cell)s can be read in two ways. Write year-month-day."),
    "day_to_come": _("This day is still to come."),
    "error_value": _("The cell says %(cell)s."),
    "formula": _("The cell holds a formula: %(cell)s. Put its value there instead."),
    "geometry": _("%(text)s"),
    "longer_than_belt": _("The mark is longer than the belt, which is %(length)s m."),
    "needed": _("must be filled in"),
    "needed_for_new": _("This is new; the file has no column for what it needs here."),
    "no_belt_fitted": _("This conveyor has no belt on it. Say which belt is meant."),
    "group_fitted_later": _("The group was fitted on %(day)s, after that day."),
    "no_such_roll": _("A set of this group has no such roll. Known are: %(known)s."),
    "no_such_set": _("There are %(count)s sets in this group."),
    "no_unit_here": _("No unit goes here, and “%(unit)s” stands behind the figure."),
    "not_a_choice": _("“%(cell)s” is not known here. Known are: %(known)s."),
    "not_a_date": _("“%(cell)s” is no day. Write year-month-day."),
    "not_a_grade": _("%(cell)s is no grade. A noise grade is 1, 2, 3, 4 or 5."),
    "not_a_number": _("“%(cell)s” is no number."),
    "not_whole": _("%(cell)s is no whole number."),
    "not_yes_or_no": _("“%(cell)s” is neither yes nor no."),
    "number_for_date": _("%(cell)s is a number, not a day. Format the column as dates."),
    "other_plant": _("This row is of %(plant)s; the file was sent for %(this)s."),
    "past_belt": _("The belt is %(length)s m long; positions run from 0 m up to that."),
    "read_on_belts": _("This is read on belts; leave the component empty."),
    "removed_before_fitted": _("The belt would come off before it was fitted."),
    "row_too_long": _(
        "The row has %(count)s cells under %(known)s headers; perhaps a separator is not quoted."
    ),
    "row_twice": _("The same as row %(other)s; say it once."),
    "said": _("%(text)s"),
    "set_needed": _("There are %(count)s sets in this group. Say which one."),
    "splice_stands_there": _("Splice %(name)s stands there."),
    "two_ways": _("%(cell)s can be read in two ways. Write it without separators of thousands."),
    "unknown_belt": _("No belt of this conveyor is like that. Known are: %(known)s."),
    "unknown_component": _("This conveyor has no component %(name)s."),
    "unknown_conveyor": _("This plant has no conveyor %(tag)s."),
    "unlikely_date": _("%(cell)s is no likely day."),
    "unseen_letters": _("The cell holds letters that cannot be shown."),
    "wrong_unit": _("“%(unit)s” is no unit for it. Write %(wanted)s or a unit of the same kind."),
}


def in_words(words: dict[str, str | Promise], reason: Sequence[Any]) -> str:
    """A reason as it is kept, (code, column, values), as one sentence or two."""
    code, column, values = reason
    values = {name: _listed(value) for name, value in values.items()}
    said = str(words[code]) % values
    if values.get("near"):
        said += " " + gettext("Perhaps %(near)s?") % values
    return f"{gettext(column)}: {said}" if column else said


def _listed(value: Any) -> Any:
    return ", ".join(map(str, value)) if isinstance(value, list) else value
