"""The table by which a phone ranks causes without signal."""

from diagnostics import knowledge_files
from diagnostics.inference.pocket.table import pocket_table
from diagnostics.models import Case
from diagnostics.selectors.evidence import facts_of


def table_of(case: Case) -> bytes:
    """Raises ValueError while the loop is incomplete, or is too much to tell."""
    return pocket_table(facts_of(case.conveyor), knowledge_files.current())
