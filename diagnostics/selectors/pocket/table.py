"""The table by which a phone ranks causes without signal."""

from diagnostics.inference.pocket.table import pocket_table
from diagnostics.models import Case
from diagnostics.selectors import shelf
from diagnostics.selectors.evidence import facts_of


def table_of(case: Case) -> bytes:
    """Raises ValueError while the loop is incomplete, or is too much to tell."""
    return pocket_table(facts_of(case.conveyor), shelf.knowledge_of(case.conveyor.plant_id))
