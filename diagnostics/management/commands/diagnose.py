"""`manage.py diagnose FILE [--json]`: ranked causes for walk-down cases; starts no database."""

import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from diagnostics import knowledge_files
from diagnostics.inference.case_file import CaseFileError, read_case_file
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.report import page_of
from diagnostics.knowledge_schema import KnowledgeError

# Far above any set of cases; a mistaken file must not fill the memory.
LARGEST_FILE_BYTES = 200_000_000
REFUSED = 2


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
            cases = read_case_file(_content_of(file))
            knowledge = knowledge_files.current()
        except (CaseFileError, KnowledgeError, OSError) as error:
            self._refuse(file, error)
        answers = [(one, diagnose(one.evidence, knowledge)) for one in cases]
        if options["json"]:
            entries = [answer.as_json(case.name) for case, answer in answers]
            self.stdout.write(json.dumps(entries, allow_nan=False))
            return
        for case, answer in answers:
            conveyor = case.evidence.conveyor
            self.stdout.write(page_of(case.name, answer, conveyor, knowledge))

    def _refuse(self, file: str, error: Exception) -> None:
        text = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        self.stderr.write(f"{_one_line(file)}: {_one_line(text)}")
        sys.exit(REFUSED)


def _content_of(file: str) -> bytes:
    if file == "-":
        content = sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1)
    else:
        with Path(file).open("rb") as opened:
            content = opened.read(LARGEST_FILE_BYTES + 1)
    if len(content) > LARGEST_FILE_BYTES:
        raise CaseFileError(f"the file is larger than {LARGEST_FILE_BYTES // 1_000_000} MB.")
    return content


def _one_line(text: str) -> str:
    return " ".join(text.split())
