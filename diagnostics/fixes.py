"""What was done against a case: known in the room above, asked for here.

The room that holds the work registers its answer from `AppConfig.ready`.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Fix:
    """Work done for a case; `address` is where to read about it, `method` its work method."""

    number: str
    title: str
    done_at: datetime | None
    address: str
    method: str = ""


FixSource = Callable[[Collection[int]], Mapping[int, Sequence[Fix]]]

_sources: dict[str, FixSource] = {}


def register(name: str, source: FixSource) -> None:
    """`source` gets keys of cases and returns the fixes of each, in a fixed number of queries."""
    _sources[name] = source


def fixes_of(case_ids: Collection[int]) -> dict[int, list[Fix]]:
    found: dict[int, list[Fix]] = {case_id: [] for case_id in case_ids}
    for source in _sources.values():
        for case_id, fixes in source(case_ids).items():
            found[case_id].extend(fixes)
    return found


AddressOfBelt = Callable[[int], str]

_raising: list[AddressOfBelt] = []


def register_raising(address: AddressOfBelt) -> None:
    """Where work on a conveyor, given by its key, is raised by hand."""
    _raising[:] = [address]


def raising_address(conveyor_id: int) -> str:
    """Empty while no room holds work."""
    return _raising[0](conveyor_id) if _raising else ""
