"""The table by which a phone ranks causes without signal."""

from diagnostics import knowledge_files
from diagnostics.inference.pocket.table import pocket_table
from diagnostics.models import Case
from diagnostics.selectors.evidence import facts_of, standing_sightings
from plant.loop.walking import walking_stations


def table_of(case: Case) -> bytes:
    """The ranking's table; raises GeometryError while the loop is incomplete."""
    facts = facts_of(case.conveyor)
    route = [one.position_m for one in walking_stations(facts.loop)]
    seen = [one.position_m for one in standing_sightings(case)]
    inside = [one for one in seen if 0 <= one < facts.loop.length_m]
    return pocket_table(facts, knowledge_files.current(), sorted({*route, *inside}))
