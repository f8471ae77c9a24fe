"""Why a change of the register is refused, in words and with the field to mend."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

import psycopg
from django.db import IntegrityError
from django.db.models import Manager
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.models.versioned import Versioned


class FieldRefusal(DomainError):
    """A refusal that one field of the form answers for; None when it is the row as a whole."""

    def __init__(self, text: str, field: str | None = None) -> None:
        super().__init__(text)
        self.field = field


class GeometryRefused(FieldRefusal):
    """The conveyor's components would not make a loop; `part` names the one in the way."""

    code = "geometry_refused"

    def __init__(self, text: str, field: str | None = None, part: str | None = None) -> None:
        super().__init__(text, field)
        self.part = part


class StaleForm(DomainError):
    """Somebody changed the row after the form was opened; `row` is as it stands now."""

    code = "stale_form"

    def __init__(self, row: Versioned) -> None:
        super().__init__(
            _(
                "Somebody changed this while you had it open. Nothing of yours is saved yet: "
                "compare below and save again if yours shall stand."
            )
        )
        self.row = row


class NameTaken(FieldRefusal):
    code = "name_taken"


class BeltIsFitted(FieldRefusal):
    code = "belt_is_fitted"


class FigureRefused(FieldRefusal):
    code = "figure_refused"


class ConveyorIsRetired(FieldRefusal):
    code = "conveyor_is_retired"


class RowIsGone(FieldRefusal):
    code = "row_is_gone"


Row = TypeVar("Row", bound=Versioned)


def row_of(rows: Manager[Row], pk: int) -> Row:
    """The row to change; refuses with RowIsGone when somebody removed it meanwhile."""
    row = rows.filter(pk=pk).first()
    if row is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    return row


def check_version(row: Versioned, version: int | None) -> None:
    """Refuse with StaleForm unless the form was opened on the row as it stands; None: no form."""
    if version is not None and row.version != version:
        raise StaleForm(row)


def refused_geometry(error: GeometryError) -> GeometryRefused:
    return GeometryRefused(str(error), error.field, error.part)


@contextmanager
def constraints_in_words() -> Iterator[None]:
    """What the database refuses, as the same refusal the services would have given.

    Services check first under their lock; this answers a writer who came by another way.
    """
    try:
        yield
    except IntegrityError as error:
        refusal = _refusal_of(_constraint_of(error))
        if refusal is None:
            raise
        raise refusal from error


def _constraint_of(error: IntegrityError) -> str:
    cause = error.__cause__
    return (cause.diag.constraint_name or "") if isinstance(cause, psycopg.Error) else ""


def _refusal_of(constraint: str) -> DomainError | None:
    refusals = {
        "one_conveyor_per_tag_and_plant": lambda: NameTaken(
            _("Another conveyor of this plant has this tag."), "tag"
        ),
        "one_component_per_name_and_conveyor": lambda: GeometryRefused(
            _("Another component of this conveyor has this name."), "name"
        ),
        "idler_groups_do_not_overlap": lambda: GeometryRefused(
            _("Another idler group stands there already. Idler groups may not overlap."), "first_m"
        ),
        "one_head_pulley_per_conveyor": lambda: GeometryRefused(
            _("A conveyor has one head pulley."), "kind"
        ),
        "one_tail_pulley_per_conveyor": lambda: GeometryRefused(
            _("A conveyor has one tail pulley."), "kind"
        ),
        "component_group_has_spacing": lambda: GeometryRefused(
            _("A group needs a spacing above 0 m."), "spacing_m"
        ),
        "one_fitted_belt_per_conveyor": lambda: BeltIsFitted(
            _("This conveyor has a belt fitted; take it off first.")
        ),
        "one_splice_per_name_and_belt": lambda: NameTaken(
            _("Another splice of this belt has this name."), "name"
        ),
    }
    made = refusals.get(constraint)
    return made() if made else None
