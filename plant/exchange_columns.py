"""The columns that files of each feed have, registered by the room whose feed it is.

They are a promise to whoever reads by place: a new field is added at the end, none is moved.
"""

from collections.abc import Sequence

from plant.models import Feed

_columns: dict[Feed, tuple[str, ...]] = {}


def register(feed: Feed, ways: Sequence[str]) -> None:
    """`ways` lead to the fields of the record, in the order of the columns."""
    _columns[feed] = tuple(ways)


def of(feed: Feed) -> tuple[str, ...]:
    return _columns[feed]


_CONVEYOR = (
    *("id", "plant", "tag", "name", "nicknames", "area", "carries", "centre_distance_m"),
    *("lift_m", "speed_mps", "capacity_tph", "trough_angle_deg", "return_vee_deg"),
    *("clearance_mm", "take_up", "take_up_tension_kn", "is_reversing", "left_words"),
    *("right_words", "isolation_points", "consequence", "note", "retired_on", "changed_at"),
    "version",
)
_COMPONENT = (
    *("conveyor", "kind", "run", "loop_position_m", "spacing_m", "count", "is_numbered"),
    *("set_prefix", "first_number", "diameter_mm", "wrap_deg", "in_deg", "out_deg", "length_m"),
    *("rolls_per_set", "fitted_on"),
)
_BELT = ("width_mm", "carcass", "strength_n_mm", "modulus_kn_m", "mass_kg_m2", "removed_on")
_MADE_OR_SEEN = (
    *("belt", "belt_position_m", "made_on", "side", "seen_on"),
    *("component", "set_number", "set_name", "roll", "changed_on", "why", "fitted"),
    *("changed_by", "undone_at"),
)
# The whole register in one table; what a row is stands in `change_of`.
register(Feed.REGISTER, (*_CONVEYOR, *_COMPONENT, *_BELT, *_MADE_OR_SEEN))
