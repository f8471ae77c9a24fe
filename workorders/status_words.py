"""Why a status file or a row of it was not taken, in words for who reads the report."""

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from workorders.status_files.refusals import Reason

_FILES = {
    "unknown_ending": gettext_lazy("Its name must end with one of %(accepted)s."),
    "file_too_large": gettext_lazy("It is larger than %(most)s MB. Send it in parts."),
    "too_many_rows": gettext_lazy("It has more than %(most)s rows. Send it in parts."),
    "too_many_columns": gettext_lazy("It has more than %(most)s columns."),
    "not_utf8": gettext_lazy("Row %(row)s holds letters that are not UTF-8. Write it as UTF-8."),
    "no_rows": gettext_lazy("It has no rows."),
    "column_twice": gettext_lazy("The column %(column)s stands there twice."),
    "broken_record": gettext_lazy("Row %(row)s is broken: a quote is open, or a cell is huge."),
    "unknown_column": gettext_lazy("The column %(column)s is unknown. Known: %(accepted)s."),
    "no_order_column": gettext_lazy("A column number or external_number must name the order."),
    "is_link": gettext_lazy("It is a link to another file. Put the file itself here."),
    "begun_too_often": gettext_lazy("Three workers began it and none ended it."),
    "gone": gettext_lazy("It was taken away before it was read to its end."),
    "stopped": gettext_lazy("Somebody stopped it. Rows that were taken stay taken."),
    "failed": gettext_lazy("Something went wrong here; the log says what."),
}
_ROWS = {
    "more_cells_than_columns": gettext_lazy("The row has more cells than the header."),
    "no_json": gettext_lazy("The line is no JSON."),
    "no_object": gettext_lazy("The line is no object with fields."),
    "field_twice": gettext_lazy("The field stands there twice."),
    "not_plain": gettext_lazy("Give text or a number."),
    "cell_too_long": gettext_lazy("At most %(most)s letters."),
    "unseen_letter": gettext_lazy("It holds a letter that nobody can see."),
    "no_order_named": gettext_lazy("The row names no order."),
    "says_nothing": gettext_lazy("The row says nothing. Fill one of %(accepted)s."),
    "not_whole": gettext_lazy("%(value)s is no whole number."),
    "unknown_state": gettext_lazy("%(value)s is no state. Accepted: %(accepted)s."),
    "no_hours": gettext_lazy("%(value)s is not above 0 and at most 24 hours."),
    "no_day": gettext_lazy("%(value)s is no day. Write it like 2026-11-17."),
    "no_instant": gettext_lazy("%(value)s is no time. Write it like 2026-11-17T11:00:00Z."),
    "no_such_order": gettext_lazy("This plant has no order %(value)s."),
    "several_orders": gettext_lazy("Several orders have the number %(value)s. Give ours."),
    "numbers_disagree": gettext_lazy(
        "%(number)s has the number %(value)s there. To give it another, use set_external_number."
    ),
    "failed": gettext_lazy("Something went wrong here; the log says what. Send it again."),
    "as_it_stands": gettext_lazy("It stands so already."),
    "taken_before": gettext_lazy("Taken before, from %(file)s row %(row)s."),
}


def file_words(code: str, values: Mapping[str, str]) -> str:
    return _said(_FILES, code, values)


def row_words(reason: Reason) -> str:
    words = _said(_ROWS, reason.code, reason.values)
    return f"{reason.column}: {words}" if reason.column else words


def _said(known: Mapping[str, object], code: str, values: Mapping[str, str]) -> str:
    words = str(known[code]) % values
    if values.get("nearest"):
        words += " " + _("Nearest: %(nearest)s.") % values
    return words
