"""Forms about the belting of a conveyor."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.belt_forms import BeltForm, TakeOffForm
from plant.errors import DomainError
from plant.models import Belt
from plant.roles import Permission
from plant.services import keeping_belts
from plant.views.keeping import (
    FormPage,
    answer_form,
    conveyor_or_404,
    posted,
    sheet_of,
    version_of,
    who,
)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_fit(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = BeltForm(posted(request))
    heading = _("Fit a belt to %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Fit the belt"), sheet_of(row), row)

    def save() -> str:
        keeping_belts.fit_belt(conveyor_id=row.pk, values=form.cleaned_data, by=who(request))
        messages.success(request, _("The belt is fitted. Now add its splices."))
        return f"{sheet_of(row)}#belt"

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_edit(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    opened = belt_or_404(request, row.pk, belt)
    form = BeltForm(posted(request), instance=belt_or_404(request, row.pk, belt))
    heading = _("Change the belt of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Save"), sheet_of(row), row, opened)

    def save() -> str:
        keeping_belts.edit_belt(
            conveyor_id=row.pk,
            belt_id=opened.pk,
            values=form.cleaned_data,
            version=version_of(request),
            by=who(request),
        )
        messages.success(request, _("Saved."))
        return f"{sheet_of(row)}#belt"

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_take_off(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    opened = belt_or_404(request, row.pk, belt)
    today = row.plant.day_of(timezone.now())
    form = TakeOffForm(posted(request), initial={"removed_on": today})
    heading = _("Take the belt off %(tag)s?") % {"tag": row.tag}
    says = _("It stays on record with its splices and marks, and can be put back.")
    page = FormPage(heading, _("Take it off"), sheet_of(row), row, more={"says": says})

    def save() -> str:
        keeping_belts.take_off_belt(
            conveyor_id=row.pk,
            belt_id=opened.pk,
            removed_on=form.cleaned_data["removed_on"],
            today=today,
            by=who(request),
        )
        messages.success(request, _("The belt is off. Fit the new one now."))
        return f"{sheet_of(row)}#belt"

    return answer_form(request, form, page, save)


@require_POST
@needs(Permission.KEEP_REGISTER)
def belt_put_back(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    opened = belt_or_404(request, row.pk, belt)
    try:
        keeping_belts.put_belt_back(conveyor_id=row.pk, belt_id=opened.pk, by=who(request))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("The belt is on again."))
    return redirect(f"{sheet_of(row)}#belt")


def belt_or_404(request: HttpRequest, conveyor_id: int, pk: int) -> Belt:
    return access.one_visible(Belt.objects.all(), request.user, conveyor_id=conveyor_id, pk=pk)
