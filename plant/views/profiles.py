"""The heights along a conveyor's carrying run: entered as a small table."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant.access import needs
from plant.profile_forms import HeightsForm
from plant.roles import Permission
from plant.services import keeping_conveyors
from plant.views.keeping import (
    FormPage,
    answer_form,
    conveyor_or_404,
    posted,
    version_of,
    who,
)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def conveyor_heights(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = HeightsForm(posted(request), initial={"profile": row.profile})
    back = reverse("conveyor-drawing", args=[row.plant.code, row.tag])
    heading = _("Heights of %(tag)s") % {"tag": row.tag}
    template = "plant/register/heights.html"
    page = FormPage(heading, _("Keep the heights"), back, row, row, template)

    def save() -> str:
        keeping_conveyors.edit_conveyor(
            conveyor_id=row.pk,
            values={"profile": form.cleaned_data["profile"]},
            version=version_of(request),
            by=who(request),
        )
        messages.success(request, _("Saved."))
        return back

    return answer_form(request, form, page, save)
