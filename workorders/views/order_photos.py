"""Photos of an order: all of them, adding some, handing one out, taking one back."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.handing_out import picture_answer
from plant.pictures import PictureRefused
from plant.roles import Permission
from plant.views.keeping import FormPage, answer_form, posted, version_of
from workorders import record_access
from workorders.models import OrderPhoto, WorkOrder
from workorders.photo_forms import OrderPhotoForm, SayForm
from workorders.selectors import order_photos as selectors
from workorders.services import order_photos as service
from workorders.views.order_asked import order_asked

# A photo never changes under its address; whoever shares the machine must not be shown it, though.
_private = cache_control(private=True, max_age=3600)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_photos(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    if request.method != "POST":
        initial = {"moment": selectors.likely_moment(order)}
        return _page(request, order, OrderPhotoForm(initial=initial))
    if not record_access.may_add(request.user):
        raise PermissionDenied
    form = OrderPhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, order, form, status=400)
    try:
        kept = service.keep_photos(
            order_id=order.pk,
            sent=form.sent_files(),
            moment=OrderPhoto.Moment(form.cleaned_data["moment"]),
            caption=form.cleaned_data["caption"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except PictureRefused as refusal:
        form.add_error("chosen", str(refusal))
        return _page(request, order, form, status=400)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, order, form, status=409)
    _tell(request, kept)
    return redirect("order-photos", order.number)


def _tell(request: HttpRequest, kept: service.Kept) -> None:
    """What was kept, and which were there already."""
    if kept.fresh:
        said = ngettext("%(count)d photo is kept.", "%(count)d photos are kept.", len(kept.fresh))
        messages.success(request, said % {"count": len(kept.fresh)})
    for row in kept.known:
        gone = _("“%(photo)s” is here already, taken back. Put it back instead.")
        here = _("“%(photo)s” is here already, it is not kept twice.")
        messages.warning(request, (gone if row.taken_back_at else here) % {"photo": row})


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_photo_say(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, row = _to_change(request, number, pk)
    form = SayForm(posted(request), initial={"moment": row.moment, "caption": row.caption})
    back = reverse("order-photos", args=[order.number])
    page = FormPage(_("What the photo shows"), _("Keep"), back, order.conveyor, row)

    def save() -> str:
        service.say_otherwise(
            photo_id=row.pk,
            order_id=order.pk,
            moment=OrderPhoto.Moment(form.cleaned_data["moment"]),
            caption=form.cleaned_data["caption"],
            version=version_of(request),
        )
        messages.success(request, _("Kept."))
        return back

    return answer_form(request, form, page, save)


@require_POST
@needs(Permission.SEE)
def order_photo_stands(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, row = _to_change(request, number, pk)
    stands = request.POST.get("stands") == "yes"
    try:
        service.let_stand(
            photo_id=row.pk,
            order_id=order.pk,
            stands=stands,
            by=access.person_of(request),
            now=timezone.now(),
        )
        messages.success(request, _("It is put back.") if stands else _("Taken back."))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect("order-photos", order.number)


@_private
@require_safe
@needs(Permission.SEE)
def order_photo(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    _order, row = _asked(request, number, pk)
    return picture_answer(row.file, f"{number}-{row.pk}.jpg")


@_private
@require_safe
@needs(Permission.SEE)
def order_photo_small(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    _order, row = _asked(request, number, pk)
    return picture_answer(row.small_file, f"{number}-{row.pk}-small.jpg")


def _asked(request: HttpRequest, number: str, pk: int) -> tuple[WorkOrder, OrderPhoto]:
    order = order_asked(request, number)
    return order, access.one_visible(order.photos.all(), request.user, pk=pk)


def _to_change(request: HttpRequest, number: str, pk: int) -> tuple[WorkOrder, OrderPhoto]:
    order, row = _asked(request, number, pk)
    if not record_access.may_change_photo(request.user, row):
        raise PermissionDenied
    return order, row


def _page(
    request: HttpRequest, order: WorkOrder, form: OrderPhotoForm, *, status: int = 200
) -> HttpResponse:
    context = {
        "order": order,
        "plant": order.conveyor.plant,
        "groups": selectors.grouped(list(selectors.photos_of(order))),
        "form": form if record_access.may_add(request.user) else None,
        "with_acts": True,
    }
    return render(request, "workorders/photos/list.html", context, status=status)
