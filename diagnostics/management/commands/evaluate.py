"""`manage.py evaluate FILE [--json]`: how often the engine is right; starts no database."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from diagnostics import knowledge_files
from diagnostics.case_input import REFUSED, content_of, refusal_of
from diagnostics.inference.case_file.document import CaseFileError
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evaluation.evaluation import Evaluation, evaluate
from diagnostics.inference.evaluation.judging import Judged, judge
from diagnostics.inference.evaluation.page import page_of
from diagnostics.inference.evaluation.truth import KnownCase, read_known_cases
from diagnostics.knowledge_schema import KnowledgeError
from diagnostics.standard_output import INTERRUPTED, Progress, hand_over


class Command(BaseCommand):
    help = "Hold the engine's answers against walk-down cases whose causes are known."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="case file (JSON) with `truth`; - reads standard input")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object instead of a page of text"
        )
        parser.add_argument("--quiet", action="store_true", help="no progress on standard error")

    def handle(self, *, file: str, **options: Any) -> None:
        try:
            cases = read_known_cases(content_of(file))
            knowledge = knowledge_files.current()
        except (CaseFileError, KnowledgeError, OSError) as error:
            self.stderr.write(refusal_of(file, error))
            sys.exit(REFUSED)
        found = evaluate(self._judged(cases, knowledge, is_quiet=options["quiet"]))
        hand_over(self.stdout, _worded(found, as_json=options["json"]))

    def _judged(
        self, cases: tuple[KnownCase, ...], knowledge: Knowledge, *, is_quiet: bool
    ) -> list[Judged]:
        judged: list[Judged] = []
        progress = Progress(
            (lambda _: None) if is_quiet else self._say,
            of=len(cases),
            is_terminal=self.stderr.isatty(),
        )
        try:
            with progress:
                for case in cases:
                    judged.append(judge(case, diagnose(case.evidence, knowledge), knowledge))
                    progress.advance()
        except KeyboardInterrupt:
            self.stderr.write(f"Stopped after {len(judged)} of {len(cases)} cases.")
            sys.exit(INTERRUPTED)
        return judged

    def _say(self, text: str) -> None:
        # Without the red of errors and without the line end that the wrapper adds.
        self.stderr.write(text, str, "")
        self.stderr.flush()


def _worded(found: Evaluation, *, as_json: bool) -> str:
    return json.dumps(found.as_json(), allow_nan=False) if as_json else page_of(found)
