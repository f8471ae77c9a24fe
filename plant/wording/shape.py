"""Where in a record which words stand."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Shape:
    """Names of fields of one kind of record, wherever in it they stand.

    `words` gives the vocabulary of a field. Fields in `conveyors` hold a conveyor's tag, or an
    object with its `tag`; those in `components` the name of a component on that conveyor. What
    stands in a field of `within` is another kind of thing and has a shape of its own. A row is
    known by having all fields of `marks`; only such rows get added and renamed fields.
    """

    words: Mapping[str, str] = field(default_factory=dict)
    conveyors: tuple[str, ...] = ("conveyor",)
    components: tuple[str, ...] = ("component",)
    within: Mapping[str, "Shape"] = field(default_factory=dict)
    marks: frozenset[str] = frozenset()


# Of what nobody described: conveyors and components are called the same everywhere.
PLAIN = Shape()
