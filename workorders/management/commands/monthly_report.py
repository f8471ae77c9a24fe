"""`manage.py monthly_report --plant LT --month 2026-10 [--out FILE]`: the report of a month."""

import sys
import time
from argparse import ArgumentParser
from datetime import datetime, timedelta
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from plant.errors import DomainError
from plant.models import Plant
from workorders.models import MonthlyReport
from workorders.month import Month
from workorders.month_report_shown import words
from workorders.services.month_reports import asking, making

# How long another worker that has it in hand is waited for.
_PATIENCE = timedelta(minutes=10)
_LOOK_EVERY_S = 0.5


class Command(BaseCommand):
    help = (
        "Makes the monthly report of a plant as PDF, as its button does: it is listed under "
        "Trends, Monthly report. With --out the file is written there, too."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--plant", required=True, help="the plant's code, such as LT")
        parser.add_argument("--month", help="such as 2026-10; the last that is over unless given")
        parser.add_argument("--out", help="write the PDF to this file as well; - to the output")

    def handle(
        self, *, plant: str, month: str | None, out: str | None, verbosity: int, **_options: Any
    ) -> None:
        now = timezone.now()
        found = _plant(plant)
        try:
            asked = asking.ask(plant=found, month=_month(month, found, now), by=None, now=now)
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        report = _made(asked)
        if out == "-":
            sys.stdout.buffer.write(_content(report))
            return
        if out:
            _write(Path(out), _content(report))
        if verbosity:
            name = words.month_words(report.month)
            self.stdout.write(f"{found.name}, {name}: report {report.pk}" + f", {out}" * bool(out))


def _plant(code: str) -> Plant:
    found = Plant.objects.filter(code=code).first()
    if found is not None:
        return found
    codes = list(Plant.objects.order_by("code").values_list("code", flat=True))
    near = get_close_matches(code.upper(), codes, cutoff=0.3) or codes[:5]
    known = f"Known: {', '.join(near)}." if near else "There is no plant yet."
    raise CommandError(f"--plant: no plant has the code {code!r}. {known}")


def _month(code: str | None, plant: Plant, now: datetime) -> Month:
    if code is None:
        return Month.of(plant.day_of(now)).ahead(-1)
    try:
        return Month.read(code)
    except ValueError as error:
        raise CommandError(f"--month: {error}") from error


def _made(report: MonthlyReport) -> MonthlyReport:
    """Made here, or by the worker that was faster."""
    until = time.monotonic() + _PATIENCE.total_seconds()
    while report.is_owed and time.monotonic() < until:
        if not making.make_this(report.pk):
            time.sleep(_LOOK_EVERY_S)
        report.refresh_from_db()
    if not report.is_made:
        why = words.FAILURE_WORDS.get(report.refusal, report.get_state_display())
        raise CommandError(f"The report was not made: {why}")
    return report


def _content(report: MonthlyReport) -> bytes:
    with report.file.open("rb") as file:
        return bytes(file.read())


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise CommandError(f"--out: {path}: {error.strerror}") from error
