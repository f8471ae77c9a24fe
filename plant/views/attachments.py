"""Pictures and drawings of a conveyor: the list, new ones, what they show, taken back."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from plant import access, attachment_access
from plant.access import needs
from plant.attachment_forms import AttachmentFilter, AttachmentForm, CaptionForm
from plant.errors import DomainError
from plant.models import Attachment, Conveyor
from plant.pdf_files import DocumentRefused
from plant.pictures import PictureRefused
from plant.roles import Permission
from plant.selectors import attachments as selectors
from plant.selectors.attachments import Wanted
from plant.services import attaching
from plant.views.keeping import (
    FormPage,
    answer_form,
    conveyor_or_404,
    posted,
    version_of,
    who,
)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def attachments(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    if request.method != "POST":
        return _page(request, row, _form(request, row))
    if not attachment_access.may_add_pictures(request.user):
        raise PermissionDenied
    form = _form(request, row)
    if not form.is_valid():
        return _page(request, row, form, status=400)
    component = form.cleaned_data["component"]
    try:
        attached = attaching.attach(
            conveyor_id=row.pk,
            sent=form.sent_files(),
            component_id=component.pk if component else None,
            caption=form.cleaned_data["caption"],
            takes_documents=attachment_access.may_add_drawings(request.user),
            by=who(request),
            now=timezone.now(),
        )
    except (PictureRefused, DocumentRefused, attaching.DrawingsNotTaken) as refusal:
        form.add_error("chosen", str(refusal))
        return _page(request, row, form, status=400)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _page(request, row, form, status=409)
    _tell(request, attached)
    return redirect(list_of(row, component.pk if component else None))


def list_of(row: Conveyor, component_id: int | None = None) -> str:
    address = reverse("attachments", args=[row.plant.code, row.tag])
    return f"{address}?component={component_id}" if component_id else address


def _form(request: HttpRequest, row: Conveyor) -> AttachmentForm:
    return AttachmentForm(
        request.POST if request.method == "POST" else None,
        request.FILES if request.method == "POST" else None,
        components=row.components.all(),
        takes_documents=attachment_access.may_add_drawings(request.user),
        initial={"component": request.GET.get("component")},
        auto_id="new_%s",
    )


def _page(
    request: HttpRequest, row: Conveyor, form: AttachmentForm, *, status: int = 200
) -> HttpResponse:
    asked = AttachmentFilter(request.GET, components=row.components.all())
    wanted = Wanted()
    if asked.is_valid():
        said = asked.cleaned_data
        wanted = Wanted(said["component"], said["kind"], said["gone"])
    page = selectors.page_of_attachments(row, wanted, request.GET.get("page"))
    context = {
        "conveyor": row,
        "plant": row.plant,
        "filter": asked,
        "is_filtered": wanted != Wanted(),
        "component": wanted.component,
        "page": page,
        "pictures": [one for one in page.object_list if one.is_picture],
        "drawings": [one for one in page.object_list if not one.is_picture],
        "form": form if attachment_access.may_add_pictures(request.user) else None,
    }
    return render(request, "plant/attachments/list.html", context, status=status)


def _tell(request: HttpRequest, attached: attaching.Attached) -> None:
    """What was kept, and which files were there already."""
    if attached.kept:
        said = ngettext("%(count)d file is kept.", "%(count)d files are kept.", len(attached.kept))
        messages.success(request, said % {"count": len(attached.kept)})
    for one in attached.known:
        messages.warning(request, _known_words(one))


def _known_words(one: Attachment) -> str:
    if one.taken_back_at is not None:
        return _(
            "“%(name)s” is here already, taken back. Show those taken back and put it back instead."
        ) % {"name": one}
    return _("“%(name)s” is here already, it is not kept twice.") % {"name": one}


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def attachment_caption(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row, attachment = _asked(request, plant_code, tag, pk)
    form = CaptionForm(posted(request), initial={"caption": attachment.caption})
    heading = _("What %(name)s shows") % {"name": attachment.file_name or attachment}
    page = FormPage(heading, _("Save"), list_of(row), row, attachment)

    def save() -> str:
        attaching.caption_attachment(
            conveyor_id=row.pk,
            attachment_id=attachment.pk,
            caption=form.cleaned_data["caption"],
            version=version_of(request),
        )
        messages.success(request, _("Saved."))
        return list_of(row, attachment.component_id)

    return answer_form(request, form, page, save)


@require_POST
@needs(Permission.SEE)
def attachment_stands(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row, attachment = _asked(request, plant_code, tag, pk)
    stands = request.POST.get("stands") == "yes"
    try:
        attaching.let_stand(
            conveyor_id=row.pk,
            attachment_id=attachment.pk,
            stands=stands,
            by=who(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect(list_of(row))
    gone = _("“%(name)s” is taken back. Show those taken back to put it back.")
    said = _("“%(name)s” is put back.") if stands else gone
    messages.success(request, said % {"name": attachment})
    return redirect(list_of(row, attachment.component_id))


def _asked(request: HttpRequest, plant_code: str, tag: str, pk: int) -> tuple[Conveyor, Attachment]:
    row = conveyor_or_404(request, plant_code, tag)
    attachment = access.one_visible(Attachment.objects.all(), request.user, conveyor=row, pk=pk)
    if not attachment_access.may_change(request.user, attachment):
        raise PermissionDenied
    return row, attachment
