"""Why a file or one of its rows is not taken, as a code with values; words stand elsewhere."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Reason:
    code: str
    column: str = ""
    values: dict[str, str] = field(default_factory=dict)


class FileRefused(ValueError):
    """The file as a whole: none of its rows is looked at."""

    def __init__(self, code: str, **values: object) -> None:
        self.reason = Reason(code, "", {name: str(value) for name, value in values.items()})
        super().__init__(code)


class RowRefused(ValueError):
    """One row; the others are taken all the same."""

    def __init__(self, code: str, column: str = "", **values: object) -> None:
        self.reason = Reason(code, column, {name: str(value) for name, value in values.items()})
        super().__init__(f"{code} {column}")
