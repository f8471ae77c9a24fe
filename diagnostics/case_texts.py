"""What was written about a case in other rooms: known there, asked for here by the search.

The room that holds the work registers its answer from `AppConfig.ready`, and sees to it that a
change of its texts owes the search the case (`diagnostics/models/search_triggers.py`).
"""

from collections.abc import Callable, Collection, Iterable, Mapping

TextSource = Callable[[Collection[int]], Mapping[int, Iterable[str]]]

_sources: dict[str, TextSource] = {}


def register(name: str, source: TextSource) -> None:
    """`source` gets keys of cases and returns texts of each, in a fixed number of queries."""
    _sources[name] = source


def texts_of(case_ids: Collection[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {case_id: [] for case_id in case_ids}
    for source in _sources.values():
        for case_id, texts in source(case_ids).items():
            found[case_id].extend(texts)
    return found
