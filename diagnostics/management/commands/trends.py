"""`manage.py trends EVENTS.csv`: is it getting worse, and which units; starts no database."""

import json
import math
import sys
from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import BaseCommand, CommandParser, DjangoHelpFormatter

from diagnostics.case_input import REFUSED, content_of, one_line, refusal_of
from diagnostics.inference.case_file.document import CaseFileError
from diagnostics.recurrence.mean_cumulative import Variance
from diagnostics.recurrence.trend_report import event_file, watching
from diagnostics.recurrence.trend_report.answer import answer_of
from diagnostics.recurrence.trend_report.estimators import estimators_text
from diagnostics.recurrence.trend_report.event_file import EventRows, TrendFileError
from diagnostics.recurrence.trend_report.figures import Asked, figures_of
from diagnostics.recurrence.trend_report.page import page_of
from diagnostics.recurrence.trend_report.watching import Watched
from diagnostics.standard_output import hand_over

_SAYS = (
    "Say whether events come thicker or thinner, and which units are worse than the others.\n"
    "Times and ends are in one unit of the caller's choice, counted from each unit's beginning.\n"
    "A refused file ends with status 2 and one line that names file, row and field."
)


class _AsWritten(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the lines of the estimators apart."""


class Refusal(ValueError):
    """Names the option or the file, and what is wrong with it."""


class Command(BaseCommand):
    help = f"{_SAYS}\n\n{estimators_text()}"
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def create_parser(self, prog_name: str, subcommand: str, **more: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, formatter_class=_AsWritten, **more)

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("events", help="CSV with the columns unit,time; - is standard input")
        parser.add_argument("--until", help="all units were watched from 0 to this time")
        parser.add_argument("--ends", help="CSV with the columns unit,end; - is standard input")
        parser.add_argument(
            "--failure-truncated",
            action="store_true",
            help="one unit, watched until its last event",
        )
        parser.add_argument("--level", default="0.90", help="two-sided, of all limits; 0.90")
        parser.add_argument(
            "--se",
            default=Variance.ROBUST.value,
            help="standard error of the mean cumulative function: robust (Lawless-Nadeau; unless "
            "given) or poisson",
        )
        parser.add_argument(
            "--factor",
            default="1.5",
            help="worse is above so many times the median unit rate; 1.5",
        )
        parser.add_argument(
            "--json", action="store_true", help="one JSON object instead of a page of text"
        )

    def handle(self, **options: Any) -> None:
        try:
            asked = _asked(options)
            figures = figures_of(_watched(options), asked)
        except Refusal as error:
            self.stderr.write(one_line(str(error)))
            sys.exit(REFUSED)
        if options["json"]:
            hand_over(self.stdout, json.dumps(answer_of(figures), allow_nan=False))
            return
        hand_over(self.stdout, page_of(figures))


def _asked(options: dict[str, Any]) -> Asked:
    try:
        variance = Variance(options["se"])
    except ValueError as error:
        words = " or ".join(Variance)
        raise Refusal(f"--se: {event_file.shown(options['se'])} is not {words}.") from error
    level = _figure("--level", options["level"])
    if level >= 1:
        raise Refusal(f"--level: it is {options['level']}, and must lie between 0 and 1.")
    return Asked(level, variance, _figure("--factor", options["factor"]))


def _watched(options: dict[str, Any]) -> Watched:
    """The file of events with the one way in which watching was said to have ended."""
    until, ends = options["until"], options["ends"]
    if [until is None, ends is None, not options["failure_truncated"]].count(False) != 1:
        raise Refusal("--until, --ends, --failure-truncated: give exactly one of them.")
    if options["events"] == ends == "-":
        raise Refusal("--ends: standard input can be only one of the two files.")
    end = math.nan if until is None else _figure("--until", until)
    found_ends = {} if ends is None else _read(ends, event_file.read_ends)
    file = options["events"]
    events: EventRows = _read(file, event_file.read_events)
    try:
        if until is not None:
            return watching.watched_until(events, end)
        if ends is not None:
            return watching.watched_to_ends(events, found_ends)
        return watching.watched_to_last_event(events)
    except TrendFileError as error:
        raise Refusal(f"{file}: {error}") from error


def _read(file: str, reader: Any) -> Any:
    try:
        return reader(content_of(file))
    except (TrendFileError, CaseFileError, OSError) as error:
        raise Refusal(refusal_of(file, error)) from error


def _figure(option: str, text: str) -> float:
    try:
        return event_file.figure_of(str(text))
    except ValueError as error:
        raise Refusal(f"{option}: it {error}.") from error
