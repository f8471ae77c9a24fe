"""Forms about a conveyor as a whole: new, changed, laid out, retired, taken back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.register_forms import ConveyorForm, LayOutForm, NewConveyorForm
from plant.roles import Permission
from plant.services import keeping_conveyors
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
def conveyor_new(request: HttpRequest) -> HttpResponse:
    form = NewConveyorForm(posted(request), plants=access.plants_of(request.user))
    page = FormPage(_("New conveyor"), _("Add the conveyor"), reverse("conveyors"))

    def save() -> str:
        values = {**form.cleaned_data}
        plant = values.pop("plant")
        row = keeping_conveyors.add_conveyor(plant=plant, values=values, by=who(request))
        messages.success(request, _("%(tag)s is in the register.") % {"tag": row.tag})
        return reverse("conveyor-lay-out", args=[plant.code, row.tag])

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def conveyor_edit(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    opened = conveyor_or_404(request, plant_code, tag)
    form = ConveyorForm(posted(request), instance=opened)
    page = FormPage(_("Change %(tag)s") % {"tag": row.tag}, _("Save"), sheet_of(row), row, row)

    def save() -> str:
        kept = keeping_conveyors.edit_conveyor(
            conveyor_id=row.pk,
            values=form.cleaned_data,
            version=version_of(request),
            by=who(request),
        )
        messages.success(request, _("Saved."))
        return reverse("conveyor", args=[row.plant.code, kept.tag])

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def conveyor_lay_out(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    known = {"centre_distance_m": row.centre_distance_m, "take_up": row.take_up_kind}
    form = LayOutForm(posted(request), initial=known)
    page = FormPage(
        _("Lay out %(tag)s") % {"tag": row.tag},
        _("Lay it out"),
        sheet_of(row),
        row,
        template="plant/register/lay_out.html",
    )

    def save() -> str:
        keeping_conveyors.lay_out_conveyor(
            conveyor_id=row.pk,
            figures=form.figures(),
            belt_width_mm=form.cleaned_data["belt_width_mm"],
            by=who(request),
        )
        messages.success(request, _("Laid out. Now put right what differs on your conveyor."))
        return sheet_of(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def conveyor_retire(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    page = FormPage(
        _("Retire %(tag)s?") % {"tag": row.tag},
        _("Retire it"),
        sheet_of(row),
        row,
        more={
            "says": _(
                "It leaves the list and is no longer offered for new complaints. Its history "
                "stays, and it can be put back into service."
            )
        },
    )

    def act() -> str:
        keeping_conveyors.retire_conveyor(conveyor_id=row.pk, by=who(request), now=timezone.now())
        messages.success(request, _("%(tag)s is retired.") % {"tag": row.tag})
        return sheet_of(row)

    return answer_question(request, page, act, [(_("Conveyor"), str(row))])


@require_POST
@needs(Permission.KEEP_REGISTER)
def conveyor_take_back(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    keeping_conveyors.take_back_conveyor(conveyor_id=row.pk, by=who(request))
    messages.success(request, _("%(tag)s is in service again.") % {"tag": row.tag})
    return redirect(sheet_of(row))
