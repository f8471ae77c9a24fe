"""What if: a cause at a place of a conveyor in, the belt's path in each load state out.

The same models as the inference, solved forward: one right-hand side for the whole loop instead of
one adjoint a reading.
"""

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.what_if.answer import Shown
from diagnostics.inference.what_if.causes_asked import FaultKind, cause_asked, kinds_on
from diagnostics.inference.what_if.choice import Choice
from diagnostics.inference.what_if.held import asked_in_place, held_picture
from diagnostics.inference.what_if.notes import notes_on
from diagnostics.inference.what_if.passing import asked_on_belt, passing_picture


def show(conveyor: ConveyorFacts, knowledge: Knowledge, choice: Choice) -> Shown:
    """How the belt would run with a fault.

    Parameters
    ----------
    conveyor : ConveyorFacts
    knowledge : Knowledge
    choice : Choice

    Returns
    -------
    Shown
        One picture a load state, with sentences for its reader.

    Raises
    ------
    WhatIfRefusal
        Unknown cause, one without a mechanical picture or not possible on this conveyor, a place
        that is not there, a size out of bounds.

    Notes
    -----
    Linear: pictures of several faults at once add up, and twice the fault is twice the offset. A
    reading of a picture is influence times amplitude of the fault family that stands for the
    cause. What travels is drawn by the closed forms of `moving` and `passing_shape`.
    """
    cause = cause_asked(choice.cause, knowledge)
    names = kinds_on(cause, conveyor)
    models = models_of(conveyor, choice.loads)
    if FaultKind(names[0].partition(" ")[0]).travels:
        asked = asked_on_belt(cause, names[0], choice, conveyor, models[choice.loads[0]])
        draw = passing_picture
    else:
        asked = asked_in_place(cause, names, choice, conveyor, models[choice.loads[0]].line.nodes)
        draw = held_picture
    pictures = tuple(draw(asked, load, model) for load, model in models.items())
    return Shown(asked, pictures, notes_on(asked, pictures, models))
