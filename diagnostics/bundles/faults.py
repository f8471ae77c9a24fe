"""What is said about a bundle that cannot be used: each fault with its line, entry and field."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from plant.errors import DomainError

# More would not be read; whoever mends these sends the bundle again.
MOST_FAULTS = 20
# A fault may quote what was sent, which may be long.
_LONGEST_TEXT = 700


@dataclass(frozen=True)
class Fault:
    """`document` is causes, rules, work_methods or cautions; what is not known stays empty."""

    text: str
    line: int | None = None
    document: str = ""
    entry: str = ""
    field: str = ""

    def __str__(self) -> str:
        parts = (self.document, self.entry, self.field)
        where = [one if len(one) <= 80 else f"{one[:79]}…" for one in parts if one]
        if self.line is not None:
            where.insert(0, _("line %(line)d") % {"line": self.line})
        text = " ".join(self.text.split())
        if len(text) > _LONGEST_TEXT:
            text = f"{text[: _LONGEST_TEXT - 1]}…"
        return f"{', '.join(where)}: {text}" if where else text


class BundleRefused(DomainError):
    """Nothing of a bundle is used; `faults` are the first of what is wrong with it."""

    code = "bundle_refused"

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults[:MOST_FAULTS])
        self.more = len(faults) - len(self.faults)
        super().__init__("\n".join(str(one) for one in self.faults))
