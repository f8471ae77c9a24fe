"""`manage.py diagnose FILE [--json]`: ranked causes for walk-down cases; starts no database."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from diagnostics import knowledge_files
from diagnostics.case_input import REFUSED, content_of, refusal_of
from diagnostics.inference.case_file.document import CaseFileError, read_case_file
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.report import page_of
from diagnostics.knowledge_schema import KnowledgeError
from diagnostics.standard_output import hand_over


class Command(BaseCommand):
    help = "Rank the causes of mistracking for the walk-down cases of a file."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="case file (JSON); - reads standard input")
        parser.add_argument(
            "--json", action="store_true", help="one JSON array instead of pages of text"
        )

    def handle(self, *, file: str, **options: Any) -> None:
        try:
            cases = read_case_file(content_of(file))
            knowledge = knowledge_files.current()
        except (CaseFileError, KnowledgeError, OSError) as error:
            self.stderr.write(refusal_of(file, error))
            sys.exit(REFUSED)
        answers = [(one, diagnose(one.evidence, knowledge)) for one in cases]
        if options["json"]:
            entries = [answer.as_json(case.name) for case, answer in answers]
            hand_over(self.stdout, json.dumps(entries, allow_nan=False))
            return
        for case, answer in answers:
            conveyor = case.evidence.conveyor
            hand_over(self.stdout, page_of(case.name, answer, conveyor, knowledge))
