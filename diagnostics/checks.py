"""System check of the knowledge files: a site with broken ones says so before it serves a page."""

from typing import Any

from django.core.checks import CheckMessage, Error, register

from diagnostics import knowledge_files, synonym_files
from diagnostics.knowledge_schema import KnowledgeError


@register("knowledge")
def check_knowledge_files(**_options: Any) -> list[CheckMessage]:
    try:
        knowledge_files.current()
        synonym_files.current()
    except KnowledgeError as error:
        return [
            Error(
                f"The knowledge cannot be used: {error}",
                hint="Mend the named entry in fixtures/, or put the last good file back.",
                id="loopwright.E101",
            )
        ]
    return []
