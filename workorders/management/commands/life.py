"""`manage.py life FILE.csv [--json]`: how long things last; starts no database."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from diagnostics.case_input import REFUSED, content_of, refusal_of
from diagnostics.inference.case_file.document import CaseFileError
from diagnostics.standard_output import hand_over
from workorders.planning.life_file.options import read_costs, read_level
from workorders.planning.life_file.page import page_of
from workorders.planning.life_file.report import report_of
from workorders.planning.life_file.rows import LifeFileError, read_lives


class Command(BaseCommand):
    help = (
        "Weibull life (maximum likelihood, profile-likelihood limits), survival (Kaplan-Meier "
        "with Greenwood's error) and the cheapest replacement age from a CSV file of lives: "
        "columns age, failed (1 failed, 0 taken out or still running) and, if wanted, count."
    )
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="CSV file; - reads standard input")
        # Texts, so that one place refuses all forms.
        parser.add_argument("--planned-cost", help="what a replacement before the failure costs")
        parser.add_argument("--failure-cost", help="what a failure costs, replacement included")
        parser.add_argument("--level", default="0.90", help="two-sided level of limits; 0.90")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object instead of a page of text"
        )

    def handle(self, *, file: str, **options: Any) -> None:
        try:
            costs = read_costs(options["planned_cost"], options["failure_cost"])
            level = read_level(options["level"])
            report = report_of(read_lives(content_of(file)), level, costs)
        except (LifeFileError, CaseFileError, OSError) as error:
            self.stderr.write(refusal_of(file, error))
            sys.exit(REFUSED)
        as_json = options["json"]
        text = json.dumps(report.as_json(), allow_nan=False) if as_json else page_of(report)
        hand_over(self.stdout, text)
