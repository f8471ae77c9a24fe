"""Photos: those of a case, adding some, handing one out, taking one back."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.models import Case, Photo, Sighting, WalkDown
from diagnostics.photo_forms import PhotoForm
from diagnostics.selectors.photos import photos_of
from diagnostics.services import photos as service
from diagnostics.services.photos import About
from diagnostics.views.cases import case_asked
from diagnostics.views.counting import counts_asked
from diagnostics.views.walking import walk_down_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.handing_out import picture_answer
from plant.pictures import PictureRefused
from plant.roles import Permission

_ROWS = 24
# A photo never changes under its address; whoever shares the machine must not be shown it, though.
_private = cache_control(private=True, max_age=3600)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def case_photos(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    if request.method == "GET":
        return _page(request, case, PhotoForm())
    access.require(request.user, Permission.WALK_DOWN)
    return _take(request, case, back_to=reverse("case-photos", args=[case.number]))


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def walk_down_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """A photo of the place where somebody stands, with the look they kept there."""
    row = walk_down_asked(request, pk)
    if request.method == "GET":
        place = request.GET.get("station", "")[:48]
        return _page(request, row.case, PhotoForm(initial={"place": place}))
    station = request.POST.get("place", "").strip()
    back_to = f"{reverse('walk-down', args=[row.pk])}?{urlencode({'station': station})}#look"
    sighting = _look_at(row, station)
    return _take(request, row.case, back_to=back_to, sighting=sighting)


def _look_at(row: WalkDown, station: str) -> Sighting | None:
    """The last look kept there on this walk."""
    if "\x00" in station:
        return None
    looks = row.sightings.select_related("walk_down").filter(taken_back_at__isnull=True)
    return looks.filter(station__iexact=station).order_by("-seen_at", "-pk").first()


def _take(
    request: HttpRequest, case: Case, *, back_to: str, sighting: Sighting | None = None
) -> HttpResponse:
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, case, form, status=400)
    filled = form.cleaned_data
    try:
        kept = service.take_photos(
            case_id=case.pk,
            sent=form.sent_photos(),
            about=About(sighting=sighting, place=filled["place"], caption=filled["caption"]),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except PictureRefused as refusal:
        form.add_error("photos", str(refusal))
        return _page(request, case, form, status=400)
    except DomainError as refusal:
        return _page(request, case, form, refusal=str(refusal), status=409)
    said = ngettext("%(count)d photo is kept.", "%(count)d photos are kept.", len(kept))
    messages.success(request, said % {"count": len(kept)})
    return redirect(back_to)


def _page(
    request: HttpRequest, case: Case, form: PhotoForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    page = Paginator(photos_of(case), _ROWS).get_page(request.GET.get("page"))
    context = around(case) | {"page": page, "form": form, "refusal": refusal}
    return render(request, "diagnostics/photos/list.html", context, status=status)


def around(case: Case) -> dict[str, Any]:
    return {"case": case, "conveyor": case.conveyor, "plant": case.conveyor.plant}


@_private
@require_safe
@needs(Permission.SEE)
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    row = _photo_asked(request, pk)
    return picture_answer(row.file, f"{row.case.number}-{row.pk}.jpg")


@_private
@require_safe
@needs(Permission.SEE)
def photo_small(request: HttpRequest, pk: int) -> HttpResponse:
    row = _photo_asked(request, pk)
    return picture_answer(row.small_file, f"{row.case.number}-{row.pk}-small.jpg")


@require_POST
@needs(Permission.WALK_DOWN)
def photo_counts(request: HttpRequest, pk: int) -> HttpResponse:
    row = _photo_asked(request, pk)
    back_to = reverse("case-photos", args=[row.case.number])
    counts = counts_asked(request)
    try:
        row = service.count_photo(
            photo_id=row.pk, case_id=row.case_id, counts=counts, now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect(back_to)
    messages.success(request, _("Taken back.") if row.taken_back_at else _("It counts again."))
    return redirect(back_to)


def _photo_asked(request: HttpRequest, pk: int) -> Photo:
    return access.one_visible(Photo.objects.select_related("case"), request.user, pk=pk)
