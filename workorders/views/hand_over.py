"""The page where one shift ends and the next begins."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.attention_words import ATTENTION_WORDS
from workorders.hand_over_forms import HandOverForm
from workorders.models import HandOverNote
from workorders.selectors.attention import wanting_attention
from workorders.selectors.last_shift import last_shift
from workorders.services import handing_over

_NOTES = 5
_ROWS = 15


@require_safe
@needs(Permission.SEE)
def hand_over(request: HttpRequest) -> HttpResponse:
    plant = access.plants_of(request.user).first()
    if plant is None:
        return render(request, "workorders/hand_over/no_plant.html")
    return _page(request, plant)


@require_safe
@needs(Permission.SEE)
def hand_over_of(request: HttpRequest, plant_code: str) -> HttpResponse:
    return _page(request, _plant(request, plant_code))


@require_POST
@needs(Permission.TAKE_COMPLAINT)
def write(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = _plant(request, plant_code)
    form = HandOverForm(request.POST)
    if not form.is_valid():
        return _page(request, plant, form=form, status=400)
    words = form.cleaned_data["words"]
    by, now = access.person_of(request), timezone.now()
    handing_over.write_note(plant=plant, words=words, by=by, now=now)
    messages.success(request, _("Kept for the next shift."))
    return redirect("hand-over-of", plant.code)


@require_POST
@needs(Permission.TAKE_COMPLAINT)
def take_over(request: HttpRequest, pk: int) -> HttpResponse:
    note = _note(request, pk)
    handing_over.take_over(note_id=note.pk, by=access.person_of(request), now=timezone.now())
    return redirect("hand-over-of", note.plant.code)


@require_POST
@needs(Permission.TAKE_COMPLAINT)
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    note = _note(request, pk)
    is_back = request.POST.get("put_back") != "1"
    by, now = access.person_of(request), timezone.now()
    try:
        handing_over.set_taken_back(note_id=note.pk, is_back=is_back, by=by, now=now)
    except DomainError as refusal:
        return _page(request, note.plant, refusal=str(refusal), status=409)
    return redirect("hand-over-of", note.plant.code)


def _page(
    request: HttpRequest,
    plant: Plant,
    *,
    form: HandOverForm | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    now = timezone.now()
    wanting = wanting_attention(plant, now)
    notes = HandOverNote.objects.filter(plant=plant).select_related("written_by", "taken_over_by")
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "form": form or HandOverForm(),
        "may_write": access.may(request.user, Permission.TAKE_COMPLAINT),
        "notes": Paginator(notes, _NOTES).get_page(request.GET.get("page")),
        "groups": [
            {"heading": words, "rows": rows[:_ROWS], "more": max(0, len(rows) - _ROWS)}
            for kind, words in ATTENTION_WORDS.items()
            for rows in [wanting.get(kind, [])]
        ],
        "is_quiet": not wanting,
        "shift": last_shift(plant, now),
        "refusal": refusal,
    }
    return render(request, "workorders/hand_over/page.html", context, status=status)


def _plant(request: HttpRequest, code: str) -> Plant:
    return access.one_visible(Plant.objects.all(), request.user, code=code)


def _note(request: HttpRequest, pk: int) -> HandOverNote:
    return access.one_visible(HandOverNote.objects.select_related("plant"), request.user, pk=pk)
