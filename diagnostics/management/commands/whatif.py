"""`manage.py whatif FILE --cause SLUG`: how a belt would run with a fault; starts no database."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from diagnostics import knowledge_files
from diagnostics.case_input import REFUSED, content_of, one_line, refusal_of
from diagnostics.inference.case_file.document import CaseFileError, FileCase, read_case_file
from diagnostics.inference.what_if.choice import LOADS, WhatIfRefusal, read_choice, shown
from diagnostics.inference.what_if.page import page_of
from diagnostics.inference.what_if.showing import show
from diagnostics.knowledge_schema import KnowledgeError
from plant.loop.vocabulary import Side

# Options by the field of the question they fill; texts, so that one place refuses all forms.
_OPTIONS = {
    "cause": ("--cause", "slug of the catalogue"),
    "at": ("--at", "component, or metres along the loop"),
    "belt_at": ("--belt-at", "metres along the belt from its reference splice, for what travels"),
    "size": ("--size", "in the cause's unit; the usual size unless given"),
    "sets": ("--sets", "how many neighbouring idler sets stand alike"),
    "side": ("--side", f"to which the belt is driven: {' or '.join(Side)}; right unless given"),
    "load": ("--load", f"one of {', '.join(LOADS)}; both unless given"),
}
_MOST_NAMED = 8


class Command(BaseCommand):
    help = "Show how the belt of a case would run with a given fault."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="case file (JSON); - reads standard input")
        for field, (option, words) in _OPTIONS.items():
            parser.add_argument(option, dest=field, default="", help=words)
        parser.add_argument("--case", default="", help="id of a case; its conveyor is used")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object instead of a page of text"
        )

    def handle(self, *, file: str, **options: Any) -> None:
        where = ""
        try:
            choice = read_choice({field: options[field] for field in _OPTIONS})
            case = _case(read_case_file(content_of(file)), options["case"])
            where = f"{file}: case {shown(str(case.name))}: "
            found = show(case.evidence.conveyor, knowledge_files.current(), choice)
        except WhatIfRefusal as error:
            self._refuse(f"{where}{_OPTIONS[error.field][0]}: {error}")
        except (CaseFileError, KnowledgeError, OSError) as error:
            self._refuse(refusal_of(file, error))
        if options["json"]:
            self.stdout.write(json.dumps(found.as_json(case.name), allow_nan=False))
        else:
            self.stdout.write(page_of(case.name, found))

    def _refuse(self, text: str) -> None:
        self.stderr.write(one_line(text))
        sys.exit(REFUSED)


def _case(cases: tuple[FileCase, ...], asked: str) -> FileCase:
    """The case asked for; the only one when none is named."""
    named = {str(one.name): one for one in cases}
    if asked in named:
        return named[asked]
    if not asked and len(cases) == 1:
        return cases[0]
    names = ", ".join(shown(name) for name in list(named)[:_MOST_NAMED])
    more = ", ..." if len(named) > _MOST_NAMED else ""
    if not asked:
        raise CaseFileError(f"--case: the file holds {len(cases)} cases; name one: {names}{more}.")
    raise CaseFileError(f"--case: the file has no case {shown(asked)}; it has {names}{more}.")
