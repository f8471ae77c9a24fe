"""Rolls that were changed: the list, writing them down, taking back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Component, Conveyor, RollChange
from plant.roles import Permission
from plant.roll_forms import RollChangeFilter, RollChangeForm
from plant.selectors import rolls as selectors
from plant.services import changing_rolls
from plant.views.idler_sets import idlers_or_404
from plant.views.keeping import FormPage, answer_form, conveyor_or_404, posted, who


@require_safe
@needs(Permission.SEE)
def roll_changes(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = RollChangeFilter(request.GET, conveyor=row)
    wanted = form.wanted()
    page, changes = selectors.page_of_changes(row, wanted, request.GET.get("page"))
    context = {
        "conveyor": row,
        "plant": row.plant,
        "form": form,
        "is_filtered": wanted != selectors.ChangesWanted(),
        "page": page,
        "changes": changes,
        "mine": [
            one.row.pk for one in changes if access.may_correct(request.user, one.row.kept_by_id)
        ],
    }
    return render(request, "plant/rolls/list.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def roll_change_new(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    component = idlers_or_404(request, row, pk)
    heading = _("Rolls changed in %(name)s of %(tag)s") % {"name": component.name, "tag": row.tag}
    page = FormPage(heading, _("Write it down"), _group_of(row, component), row)
    today = row.plant.day_of(timezone.now())
    initial = {
        "sets": request.GET.get("sets", "")[:60],
        "rolls": request.GET.getlist("roll")[:5],
        "changed_on": today,
        "changed_by": str(who(request))[:80],
    }
    rolls = selectors.roll_choices(row, component)
    form = RollChangeForm(posted(request), initial=initial, rolls=rolls)

    def save() -> str:
        made = changing_rolls.change_rolls(
            conveyor_id=row.pk,
            component_id=component.pk,
            changed=form.changed(),
            by=who(request),
            today=today,
        )
        words = ngettext("%(count)d roll is written down.", "%(count)d rolls are written down.",
                         len(made))  # fmt: skip
        messages.success(request, words % {"count": len(made)})
        return _after(row, made)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def roll_change_take_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    change = _change(request, row, pk)
    back = reverse("roll-changes", args=[row.plant.code, row.tag])
    context = {
        "conveyor": row,
        "plant": row.plant,
        "change": selectors.change_row(row, change),
        "others": selectors.kept_together(change),
        "back": back,
    }
    if request.method != "POST":
        return render(request, "plant/rolls/take_back.html", context)
    count = changing_rolls.take_back_change(
        conveyor_id=row.pk,
        change_id=change.pk,
        with_others="all" in request.POST,
        by=who(request),
        now=timezone.now(),
    )
    words = ngettext("%(count)d change is taken back.", "%(count)d changes are taken back.", count)
    messages.success(request, words % {"count": count})
    return redirect(back + "?undone=on")


@require_POST
@needs(Permission.TAKE_READING)
def roll_change_put_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    change = _change(request, row, pk)
    try:
        changing_rolls.put_back_change(conveyor_id=row.pk, change_id=change.pk, by=who(request))
        messages.success(request, _("The change counts again."))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect("roll-changes", row.plant.code, row.tag)


def _change(request: HttpRequest, conveyor: Conveyor, pk: int) -> RollChange:
    rows = RollChange.objects.select_related("component", "kept_by")
    change = access.one_visible(rows, request.user, conveyor=conveyor, pk=pk)
    access.require_correcting(request.user, change.kept_by_id)
    return change


def _group_of(row: Conveyor, component: Component) -> str:
    return reverse("idler-group", args=[row.plant.code, row.tag, component.pk])


def _after(row: Conveyor, made: list[RollChange]) -> str:
    """To the set where it was one, else to the list."""
    sets = {(one.component_id, one.set_number) for one in made}
    if len(sets) == 1:
        return reverse("idler-set", args=[row.plant.code, row.tag, *sets.pop()])
    return reverse("roll-changes", args=[row.plant.code, row.tag])
