"""Who may correct what somebody read: a system what systems sent, a person as pages allow.

For people the rule is `plant.access.may_correct`, asked by their pages.
"""

from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ConditionReading, MeterReading, User


class KeptByAPerson(DomainError):
    code = "kept_by_a_person"


def check_may_correct(row: ConditionReading | MeterReading, by: User | None) -> None:
    """Refuse with KeptByAPerson where another system would undo what a person wrote down."""
    if by is None and row.kept_by_id is not None:
        raise KeptByAPerson(
            _("A person wrote this reading down; only people correct it or take it back.")
        )
