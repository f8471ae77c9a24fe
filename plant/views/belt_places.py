"""Forms about places on a belt: its splices and its marks."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.belt_forms import BeltMarkForm, SpliceForm
from plant.models import Belt, BeltMark, Conveyor, Splice
from plant.roles import Permission
from plant.services import keeping_belts
from plant.views.belts import belt_or_404
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    sheet_of,
    version_of,
    who,
)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def splice_new(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    heading = _("New splice on the belt of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Add the splice"), sheet_of(row), row)
    return _splice_form(request, row, on, page, SpliceForm(posted(request)), None)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def splice_edit(
    request: HttpRequest, plant_code: str, tag: str, belt: int, pk: int
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    splice = _splice(request, on, pk)
    heading = _("Change splice %(name)s of %(tag)s") % {"name": splice.name, "tag": row.tag}
    remove = reverse("splice-remove", args=[row.plant.code, row.tag, on.pk, splice.pk])
    page = FormPage(heading, _("Save"), sheet_of(row), row, splice, more={"remove": remove})
    form = SpliceForm(posted(request), instance=_splice(request, on, pk))
    return _splice_form(request, row, on, page, form, splice)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def splice_remove(
    request: HttpRequest, plant_code: str, tag: str, belt: int, pk: int
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    splice = _splice(request, on, pk)
    heading = _("Remove splice %(name)s from %(tag)s?") % {"name": splice.name, "tag": row.tag}
    page = FormPage(heading, _("Remove it"), sheet_of(row), row)

    def act() -> str:
        keeping_belts.remove_splice(
            conveyor_id=row.pk, belt_id=on.pk, splice_id=splice.pk, by=who(request)
        )
        return _done(request, row, _("%(name)s is removed.") % {"name": splice.name})

    facts = [(_("Belt position"), f"{splice.belt_position_m:g} m")]
    return answer_question(request, page, act, facts)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def mark_new(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    heading = _("New mark on the belt of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Add the mark"), sheet_of(row), row)
    form = BeltMarkForm(posted(request), conveyor=row)
    return _mark_form(request, row, on, page, form, None)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def mark_edit(request: HttpRequest, plant_code: str, tag: str, belt: int, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    mark = _mark(request, on, pk)
    heading = _("Change a mark on the belt of %(tag)s") % {"tag": row.tag}
    remove = reverse("mark-remove", args=[row.plant.code, row.tag, on.pk, mark.pk])
    page = FormPage(heading, _("Save"), sheet_of(row), row, mark, more={"remove": remove})
    form = BeltMarkForm(posted(request), instance=_mark(request, on, pk), conveyor=row)
    return _mark_form(request, row, on, page, form, mark)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def mark_remove(
    request: HttpRequest, plant_code: str, tag: str, belt: int, pk: int
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    mark = _mark(request, on, pk)
    heading = _("Remove this mark from the belt of %(tag)s?") % {"tag": row.tag}
    page = FormPage(heading, _("Remove it"), sheet_of(row), row)

    def act() -> str:
        keeping_belts.remove_mark(
            conveyor_id=row.pk, belt_id=on.pk, mark_id=mark.pk, by=who(request)
        )
        return _done(request, row, _("The mark is removed."))

    facts = [
        (_("Kind"), mark.get_kind_display()),
        (_("Belt position"), f"{mark.belt_position_m:g} m"),
    ]
    return answer_question(request, page, act, facts)


def _splice_form(
    request: HttpRequest,
    row: Conveyor,
    on: Belt,
    page: FormPage,
    form: forms.ModelForm,
    splice: Splice | None,
) -> HttpResponse:
    def save() -> str:
        keeping_belts.keep_splice(
            conveyor_id=row.pk,
            belt_id=on.pk,
            splice_id=splice.pk if splice else None,
            values=form.cleaned_data,
            version=version_of(request) if splice else None,
            by=who(request),
        )
        return _done(request, row, _("Saved."))

    return answer_form(request, form, page, save)


def _mark_form(
    request: HttpRequest,
    row: Conveyor,
    on: Belt,
    page: FormPage,
    form: forms.ModelForm,
    mark: BeltMark | None,
) -> HttpResponse:
    def save() -> str:
        keeping_belts.keep_mark(
            conveyor_id=row.pk,
            belt_id=on.pk,
            mark_id=mark.pk if mark else None,
            values=form.cleaned_data,
            version=version_of(request) if mark else None,
            by=who(request),
        )
        return _done(request, row, _("Saved."))

    return answer_form(request, form, page, save)


def _done(request: HttpRequest, row: Conveyor, words: str) -> str:
    messages.success(request, words)
    return f"{sheet_of(row)}#belt"


def _splice(request: HttpRequest, on: Belt, pk: int) -> Splice:
    return access.one_visible(Splice.objects.all(), request.user, belt=on, pk=pk)


def _mark(request: HttpRequest, on: Belt, pk: int) -> BeltMark:
    return access.one_visible(BeltMark.objects.all(), request.user, belt=on, pk=pk)
