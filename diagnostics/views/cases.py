"""Cases: the list, one case, ending and opening again by hand, diagnosing at once."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.case_forms import CaseFilterForm, CaseMoveForm, LostHoursForm
from diagnostics.case_states import BY_HAND, CaseState
from diagnostics.models import Case
from diagnostics.selectors import case_list
from diagnostics.selectors import case_page as selector
from diagnostics.services import cases as service
from diagnostics.services import diagnosing
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_ROWS = 25
MOVE_WORDS = {
    CaseState.NOT_MISTRACKING: gettext_lazy("It is not mistracking"),
    CaseState.CANCELLED: gettext_lazy("Cancel the case"),
    CaseState.LOOKED_AT: gettext_lazy("Look at it again"),
    CaseState.OPEN: gettext_lazy("Open it again"),
}


@require_safe
@needs(Permission.SEE)
def cases(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    form = CaseFilterForm(request.GET, plants=plants)
    wanted = form.wanted()
    seen = access.visible(Case.objects.all(), request.user)
    rows = case_list.cases_wanted(seen, **wanted)
    context = {
        "form": form,
        "page": Paginator(rows, _ROWS).get_page(request.GET.get("page")),
        "is_filtered": bool(wanted),
        "several_plants": len(plants) > 1,
    }
    return render(request, "diagnostics/cases/list.html", context)


@require_safe
@needs(Permission.SEE)
def case(request: HttpRequest, number: str) -> HttpResponse:
    row = case_asked(request, number)
    page = selector.case_page(row, access.person_of(request), timezone.now())
    moves = sorted(BY_HAND.get(CaseState(row.state), frozenset()))
    context = {
        "page": page,
        "case": row,
        "conveyor": row.conveyor,
        "plant": row.conveyor.plant,
        "moves": [(state.value, MOVE_WORDS[state]) for state in moves],
    }
    return render(request, "diagnostics/cases/case.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.MOVE_CASE)
def case_move(request: HttpRequest, number: str) -> HttpResponse:
    row = case_asked(request, number)
    typed = request.POST if request.method == "POST" else request.GET
    try:
        to_state = CaseState(typed.get("to_state", ""))
    except ValueError:
        raise Http404 from None
    if request.method == "GET":
        return _ask(request, row, to_state, CaseMoveForm(initial={"to_state": to_state.value}))
    form = CaseMoveForm(request.POST).needs_words()
    if not form.is_valid():
        return _ask(request, row, to_state, form, status=400)
    try:
        row = service.move_case_by_hand(
            case_id=row.pk,
            to_state=to_state,
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return _ask(request, row, to_state, form, refusal=str(refusal), status=409)
    said = _("%(number)s is %(state)s.")
    messages.success(request, said % {"number": row.number, "state": row.get_state_display()})
    return redirect("case", row.number)


def _ask(
    request: HttpRequest,
    row: Case,
    to_state: CaseState,
    form: CaseMoveForm,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "case": row,
        "form": form,
        "heading": MOVE_WORDS.get(to_state, to_state.value),
        "refusal": refusal,
        "ends": not row.ended_at,
    }
    return render(request, "diagnostics/cases/move.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.MOVE_CASE)
def case_lost_hours(request: HttpRequest, number: str) -> HttpResponse:
    row = case_asked(request, number)
    form = LostHoursForm(request.POST or None, initial={"lost_hours": row.lost_hours})
    if request.method == "POST" and form.is_valid():
        service.note_lost_hours(
            case_id=row.pk,
            lost_hours=form.cleaned_data["lost_hours"],
            by=access.person_of(request),
        )
        messages.success(request, _("The lost hours are noted."))
        return redirect("case", row.number)
    context = {"case": row, "form": form, "heading": _("Note the lost hours")}
    status = 200 if request.method == "GET" else 400
    return render(request, "diagnostics/cases/move.html", context, status=status)


@require_POST
@needs(Permission.WALK_DOWN)
def case_diagnose(request: HttpRequest, number: str) -> HttpResponse:
    row = case_asked(request, number)
    try:
        made = diagnosing.diagnose_case(case_id=row.pk, now=timezone.now())
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("case", row.number)
    return redirect("diagnosis", row.number, made.pk)


def case_asked(request: HttpRequest, number: str) -> Case:
    rows = Case.objects.select_related("conveyor__plant", "repeat_of")
    return access.one_visible(rows, request.user, number=number)
