"""Why a file, a row or a cell is refused: a code and what it is about, without words.

The words stand where a reader's language is known.
"""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Reason:
    """`column` is the header as it stands in the file, empty when it is the row as a whole."""

    code: str
    column: str = ""
    values: dict[str, Any] = field(default_factory=dict)


class FileRefused(ValueError):
    """The file as a whole cannot be read; `values` name sheet, row and column where known."""

    def __init__(self, code: str, **values: Any) -> None:
        super().__init__(f"{code}: {values}")
        self.reason = Reason(code, values=values)


class CellRefused(ValueError):
    """One cell does not hold what its column asks for."""

    def __init__(self, code: str, **values: Any) -> None:
        super().__init__(code)
        self.code = code
        self.values = values
