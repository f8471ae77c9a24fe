"""Forms about the components of a conveyor."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.models import Component
from plant.register_forms import ComponentForm
from plant.roles import Permission
from plant.services import keeping_components
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
def component_new(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = ComponentForm(posted(request))
    heading = _("New component of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Add the component"), sheet_of(row), row)

    def save() -> str:
        kept = keeping_components.add_component(
            conveyor_id=row.pk, values=form.cleaned_data, by=who(request)
        )
        messages.success(request, _("%(name)s is in the register.") % {"name": kept.name})
        return sheet_of(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def component_edit(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    component = _component(request, row.pk, pk)
    form = ComponentForm(posted(request), instance=_component(request, row.pk, pk))
    heading = _("Change %(name)s of %(tag)s") % {"name": component.name, "tag": row.tag}
    remove = reverse("component-remove", args=[row.plant.code, row.tag, component.pk])
    page = FormPage(heading, _("Save"), sheet_of(row), row, component, more={"remove": remove})

    def save() -> str:
        keeping_components.edit_component(
            conveyor_id=row.pk,
            component_id=component.pk,
            values=form.cleaned_data,
            version=version_of(request),
            by=who(request),
        )
        messages.success(request, _("Saved."))
        return sheet_of(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def component_remove(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    component = _component(request, row.pk, pk)
    page = FormPage(
        _("Remove %(name)s from %(tag)s?") % {"name": component.name, "tag": row.tag},
        _("Remove it"),
        sheet_of(row),
        row,
        more={"says": _("What was found on it before stays with its case, in words.")},
    )

    def act() -> str:
        keeping_components.remove_component(
            conveyor_id=row.pk, component_id=component.pk, by=who(request)
        )
        messages.success(request, _("%(name)s is removed.") % {"name": component.name})
        return sheet_of(row)

    facts = [
        (_("Kind"), component.get_kind_display()),
        (_("Loop position"), f"{component.first_m} m"),
        (_("Sets"), str(component.count)),
    ]
    return answer_question(request, page, act, facts)


def _component(request: HttpRequest, conveyor_id: int, pk: int) -> Component:
    return access.one_visible(Component.objects.all(), request.user, conveyor_id=conveyor_id, pk=pk)
