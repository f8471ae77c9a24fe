"""What-if questions in one line, for the tests beside this file."""

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.what_if.answer import Shown
from diagnostics.inference.what_if.choice import read_choice
from diagnostics.inference.what_if.showing import show
from tests.diagnostics.belts import knowledge


def shown(facts: ConveyorFacts, cause: str, **typed: str) -> Shown:
    return show(facts, knowledge(), read_choice({"cause": cause, **typed}))
