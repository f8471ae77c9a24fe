"""Correcting a note on an order, taking it back, putting it back."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.roles import Permission
from plant.views.keeping import FormPage, answer_form, posted, version_of
from workorders import record_access
from workorders.forms import NoteForm
from workorders.models import OrderNote, WorkOrder
from workorders.services import noting
from workorders.views.order_asked import order_asked


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_note_correct(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, note = _asked(request, number, pk)
    form = NoteForm(posted(request), initial={"words": note.words})
    page = FormPage(_("Correct your note"), _("Keep"), _log_of(order), order.conveyor, note)

    def save() -> str:
        noting.correct_note(
            note_id=note.pk,
            order_id=order.pk,
            words=form.cleaned_data["words"],
            version=version_of(request),
            by=access.person_of(request),
            now=timezone.now(),
        )
        messages.success(request, _("Kept."))
        return _log_of(order)

    return answer_form(request, form, page, save)


@require_POST
@needs(Permission.SEE)
def order_note_stands(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    order, note = _asked(request, number, pk)
    stands = request.POST.get("stands") == "yes"
    noting.let_note_stand(
        note_id=note.pk,
        order_id=order.pk,
        stands=stands,
        by=access.person_of(request),
        now=timezone.now(),
    )
    messages.success(request, _("It is put back.") if stands else _("Taken back."))
    return redirect(_log_of(order))


def _asked(request: HttpRequest, number: str, pk: int) -> tuple[WorkOrder, OrderNote]:
    order = order_asked(request, number)
    note = access.one_visible(OrderNote.objects.all(), request.user, order=order, pk=pk)
    if not record_access.may_change_note(request.user, note):
        raise PermissionDenied
    return order, note


def _log_of(order: WorkOrder) -> str:
    return f"{reverse('order', args=[order.number])}#log"
