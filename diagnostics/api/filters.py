"""How lists of complaints and cases can be narrowed."""

from django_filters import rest_framework as filters

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint
from plant.api.filters import ChangedSince, Filled, Words, of_conveyor, of_plant
from plant.loop.vocabulary import Zone


class ComplaintFilter(filters.FilterSet):
    state = Words("case__state", "State of its case.", of=CaseState)
    cause = Words("case__cause", "Short name of the cause that was confirmed in its case.")
    how_bad = Words("how_bad", "How bad the caller called it.", of=Complaint.HowBad.values)
    plant = of_plant("plant__code")
    conveyor = of_conveyor()
    case = Words("case__number", "Number of its case.")
    external_number = Words("external_number", "Number in the other system.")
    withdrawn = Filled("withdrawn_at", "Whether it was withdrawn.")
    changed_since = ChangedSince()

    class Meta:
        model = Complaint
        fields: list[str] = []


class CaseFilter(filters.FilterSet):
    state = Words("state", "State.", of=CaseState)
    cause = Words("cause", "Short name of the cause that was confirmed.")
    cause_class = Words("cause_class", "Family of the cause that was confirmed.")
    plant = of_plant("conveyor__plant__code")
    conveyor = of_conveyor()
    zone = Words("zone", "Zone of the loop.", of=Zone)
    repeat = Filled("repeat_of", "Whether it is a fault that came back.")
    changed_since = ChangedSince()

    class Meta:
        model = Case
        fields: list[str] = []
