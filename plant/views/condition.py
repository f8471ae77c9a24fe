"""Condition readings of a conveyor: the list, a new one, correcting, taking back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access, chart_files, meter_words
from plant.access import needs
from plant.condition_forms import ConditionFilter, ConditionForm, CorrectionForm
from plant.condition_pages import readings_chart
from plant.errors import DomainError
from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor
from plant.roles import Permission
from plant.selectors import condition as selectors
from plant.selectors.condition import ReadingsWanted
from plant.services import reading_condition
from plant.services.choosing_sets import place_of_set
from plant.services.reading_condition import Corrected, NewCondition
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    version_of,
    who,
)


@require_safe
@needs(Permission.SEE)
def conditions(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = ConditionFilter(request.GET, conveyor=row)
    wanted = form.wanted()
    page, readings = selectors.page_of_readings(row, wanted, request.GET.get("page"))
    chart = chart_files.with_file(request, readings_chart(selectors.chart_of(row, wanted)))
    mine = [one.row for one in readings if access.may_correct(request.user, one.row.kept_by_id)]
    context = {
        "conveyor": row,
        "plant": row.plant,
        "form": form,
        "is_filtered": wanted != ReadingsWanted(),
        "page": page,
        "readings": readings,
        "chart": chart,
        "may_take": access.may(request.user, Permission.TAKE_READING),
        "mine": [one.pk for one in mine],
    }
    return chart_files.file_asked(request, [chart]) or render(
        request, "plant/condition/list.html", context
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def condition_new(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    heading = _("New condition reading of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Keep the reading"), list_of(row), row)
    with timezone.override(row.plant.zone_info):
        asked = {name: request.GET.get(name, "")[:60] for name in ("quantity", "component", "set")}
        now = timezone.now()
        initial = {**asked, "taken_at": timezone.localtime(now)}
        initial["taken_by"] = str(who(request))[:80]
        form = ConditionForm(posted(request), initial=initial, conveyor=row)

        def save() -> str:
            kept = reading_condition.keep_conditions(
                conveyor_id=row.pk, new=[_new(row, form)], by=who(request), now=now
            )
            say_what_is_asked(request, [one for one, _is_new in kept])
            return list_of(row)

        return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def condition_correct(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    reading = _reading(request, row, pk)
    heading = _("Correct %(what)s, %(where)s") % {
        "what": reading.get_quantity_display(),
        "where": selectors.where_words(reading),
    }
    page = FormPage(heading, _("Save"), list_of(row), row, reading)
    with timezone.override(row.plant.zone_info):
        form = CorrectionForm(posted(request), instance=_reading(request, row, pk))

        def save() -> str:
            corrected = reading_condition.correct_condition(
                conveyor_id=row.pk,
                reading_id=reading.pk,
                corrected=Corrected(**form.cleaned_data),
                version=version_of(request),
                by=who(request),
                now=timezone.now(),
            )
            say_what_is_asked(request, [corrected])
            return list_of(row)

        return answer_form(request, form, page, save)


@require_POST
@needs(Permission.TAKE_READING)
def condition_right(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    reading = _reading(request, row, pk)
    is_sure = "again" not in request.POST
    try:
        reading_condition.judge_condition(
            conveyor_id=row.pk, reading_id=reading.pk, is_sure=is_sure, by=who(request)
        )
    except DomainError as refusal:
        # Somebody took it back while this page was open.
        messages.error(request, str(refusal))
        return redirect(list_of(row))
    said = _("It counts as right and is not asked about any more.")
    messages.success(request, said if is_sure else _("It is asked about again."))
    return redirect(list_of(row))


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def condition_take_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    reading = _reading(request, row, pk)
    heading = _("Take back this reading of %(tag)s?") % {"tag": row.tag}
    says = {"says": _("The history keeps it.")}
    page = FormPage(heading, _("Take it back"), list_of(row), row, more=says)

    def act() -> str:
        reading_condition.take_back_condition(
            conveyor_id=row.pk, reading_id=reading.pk, by=who(request)
        )
        messages.success(request, _("The reading is taken back."))
        return list_of(row)

    facts = [
        (_("Read"), f"{reading.get_quantity_display()}, {selectors.where_words(reading)}"),
        (_("Value"), meter_words.figure_words(reading.value, reading.unit)),
        (_("Taken"), meter_words.when_words(reading.taken_at, row.plant.zone_info)),
    ]
    return answer_question(request, page, act, facts)


def list_of(row: Conveyor) -> str:
    return reverse("conditions", args=[row.plant.code, row.tag])


def say_what_is_asked(request: HttpRequest, kept: list[ConditionReading]) -> None:
    messages.success(request, _("Kept."))
    for one in selectors.asked_about(kept):
        messages.warning(request, f"{one.where}: {' '.join(one.doubts)}")


def _new(conveyor: Conveyor, form: ConditionForm) -> NewCondition:
    filled = form.cleaned_data
    component_id, set_number = place_of_set(conveyor, filled["component"], filled["set"])
    return NewCondition(
        quantity=Quantity(filled["quantity"]),
        value=filled["value"],
        taken_at=filled["taken_at"],
        component_id=component_id,
        set_number=set_number,
        spot=filled["spot"],
        taken_by=filled["taken_by"],
        note=filled["note"],
    )


def _reading(request: HttpRequest, conveyor: Conveyor, pk: int) -> ConditionReading:
    rows = ConditionReading.objects.select_related("component", "belt")
    reading = access.one_visible(rows, request.user, conveyor=conveyor, pk=pk)
    access.require_correcting(request.user, reading.kept_by_id)
    return reading
