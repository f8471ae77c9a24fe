"""What if: how a conveyor's belt would run with a fault; reads only."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from diagnostics.models import Case
from diagnostics.selectors import shelf
from diagnostics.selectors import what_if_page as selector
from diagnostics.selectors.evidence import facts_of
from diagnostics.what_if_forms import WhatIfForm
from plant import access
from plant.access import needs
from plant.loop.parts import GeometryError
from plant.roles import Permission
from plant.views.keeping import conveyor_or_404

_TEMPLATE = "diagnostics/what_if/what_if.html"


@require_safe
@needs(Permission.SEE)
def what_if(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    conveyor = conveyor_or_404(request, plant_code, tag)
    context: dict[str, Any] = {"conveyor": conveyor, "plant": conveyor.plant}
    try:
        facts = facts_of(conveyor)
    except GeometryError as refusal:
        return render(request, _TEMPLATE, {**context, "missing": str(refusal)})
    knowledge = shelf.knowledge_of(conveyor.plant_id)
    cases = access.visible(Case.objects.all(), request.user).filter(conveyor=conveyor)
    form = WhatIfForm(
        request.GET.dict(),
        causes=selector.causes_on(facts, knowledge),
        sides=selector.sides_of(conveyor),
        cases=selector.latest_cases(cases),
    )
    shown = form.answer(facts, knowledge)
    case = _case(form, request.GET.get("case", "")[:40], cases)
    context |= {"form": form, "loop": facts.loop, "case": case}
    if shown is not None and form.is_valid():
        context["page"] = selector.what_if_page(conveyor, shown, case)
    return render(request, _TEMPLATE, context, status=400 if form.errors else 200)


def _case(form: WhatIfForm, number: str, cases: QuerySet[Case]) -> Case | None:
    """The case whose looks are drawn; one that is not there is said beside its field."""
    if not number or "\x00" in number:
        return None
    case = cases.filter(number=number).first()
    if case is None and form.is_bound:
        form.add_error("case", _("This conveyor has no case %(number)s.") % {"number": number})
    return case
