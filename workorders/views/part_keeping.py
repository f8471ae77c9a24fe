"""The catalogue is kept: a part comes in, is put right, counted, retires; where it fits."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.models import Conveyor
from plant.models.versioned import Versioned
from plant.roles import Permission
from plant.views.keeping import FormPage, answer_form, answer_question, posted, version_of, who
from workorders.models import Part, PartUse
from workorders.part_forms import CountForm, NewPartForm, PartForm, PartUseForm
from workorders.part_words import amount_words, plain
from workorders.selectors import part_supply
from workorders.services import keeping_parts, part_uses
from workorders.views.parts import today_at


def part_or_404(request: HttpRequest, pk: int) -> Part:
    return access.one_visible(Part.objects.select_related("plant"), request.user, pk=pk)


def part_address(part: Part) -> str:
    return reverse("part", args=[part.pk])


def page_about(
    part: Part, heading: str, button: str, *, row: Versioned | None = None, says: str = ""
) -> FormPage:
    more = {"trail": str(part), "sheet": part.number, "says": says}
    return FormPage(heading, button, part_address(part), row=row, more=more)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_new(request: HttpRequest) -> HttpResponse:
    form = NewPartForm(posted(request), plants=access.plants_of(request.user))
    more = {"trail": _("Parts"), "sheet": _("Parts")}
    page = FormPage(_("A new part"), _("Add it"), reverse("parts"), more=more)

    def save() -> str:
        values = dict(form.cleaned_data)
        plant, on_hand = values.pop("plant"), values.pop("on_hand")
        part = keeping_parts.add_part(
            plant_id=plant.pk, values=values, on_hand=on_hand, by=who(request), now=timezone.now()
        )
        messages.success(request, _("It is in the catalogue. Say below where it fits."))
        return part_address(part)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    form = PartForm(posted(request), instance=Part.objects.get(pk=row.pk))
    page = page_about(row, _("Change %(part)s") % {"part": row.number}, _("Keep"), row=row)

    def save() -> str:
        keeping_parts.edit_part(
            part_id=row.pk,
            values=form.cleaned_data,
            version=version_of(request),
            by=who(request),
        )
        messages.success(request, _("Kept."))
        return part_address(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def part_count(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    form = CountForm(posted(request), initial={"on_hand": plain(row.on_hand)}, part=row)
    heading = _("Count %(part)s") % {"part": row.number}
    says = _("On hand by the record: %(amount)s.") % {"amount": amount_words(row.on_hand, row)}
    page = page_about(row, heading, _("That is how many there are"), row=row, says=says)

    def save() -> str:
        keeping_parts.count_part(
            part_id=row.pk,
            there_are=form.cleaned_data["on_hand"],
            why=form.cleaned_data["why"],
            version=version_of(request),
            by=who(request),
            now=timezone.now(),
        )
        messages.success(request, _("Counted."))
        return part_address(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    says = _("It leaves the list and no order can take it. It can be brought back.")
    heading = _("Retire %(part)s?") % {"part": row.number}
    page = page_about(row, heading, _("Retire it"), says=says)
    facts = [(_("Name"), row.name), (_("On hand"), amount_words(row.on_hand, row))]
    facts += [
        (one.line.order.number, amount_words(one.wanted, row))
        for one in part_supply.lines_of_part(row, today_at(row.plant))[:5]
    ]

    def act() -> str:
        keeping_parts.retire_part(part_id=row.pk, today=today_at(row.plant), by=who(request))
        messages.success(request, _("It has retired."))
        return part_address(row)

    return answer_question(request, page, act, facts)


@require_POST
@needs(Permission.PLAN_ORDER)
def part_bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    keeping_parts.bring_part_back(part_id=row.pk, by=who(request))
    messages.success(request, _("It is in the catalogue again."))
    return redirect("part", row.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_use_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    conveyors = Conveyor.objects.in_service().filter(plant=row.plant)
    form = PartUseForm(posted(request), conveyors=conveyors)
    says = _("What is left empty may be anything. The register then tells where that is.")
    heading = _("Where does %(part)s fit?") % {"part": row.number}
    page = page_about(row, heading, _("It fits there"), says=says)

    def save() -> str:
        part_uses.add_use(part_id=row.pk, values=form.cleaned_data, by=who(request))
        messages.success(request, _("Kept."))
        return f"{part_address(row)}#fits"

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_use_remove(request: HttpRequest, pk: int) -> HttpResponse:
    uses = PartUse.objects.select_related("part__plant", "conveyor")
    use = access.one_visible(uses, request.user, pk=pk)
    heading = _("Does %(part)s not fit there?") % {"part": use.part.number}
    page = page_about(use.part, heading, _("It does not fit there"))
    facts = [(_("Fits on"), use.get_on_display()), (_("Counted by"), use.get_by_display())]

    def act() -> str:
        part_uses.remove_use(part_id=use.part_id, use_id=use.pk, by=who(request))
        messages.success(request, _("Removed. It can be said again."))
        return f"{part_address(use.part)}#fits"

    return answer_question(request, page, act, facts)
