"""Meter readings of a conveyor: the list, a new one, one taken back."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access, meter_words
from plant.access import needs
from plant.meter_forms import MeterReadingForm
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, MeterReading
from plant.roles import Permission
from plant.selectors import meters as selectors
from plant.services import reading_meters
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    who,
)

_YEAR = timedelta(days=365)


@require_safe
@needs(Permission.SEE)
def meters(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    quantity = _quantity_asked(request)
    page, readings = selectors.page_of_readings(row, quantity, request.GET.get("page"))
    now = timezone.now()

    def may_correct(one: MeterReading) -> bool:
        return access.may_correct(request.user, one.kept_by_id)

    context = {
        "conveyor": row,
        "plant": row.plant,
        "quantity": quantity,
        "page": page,
        "readings": readings,
        "year": selectors.metered_in(row, quantity, now - _YEAR, now),
        "may_take": access.may(request.user, Permission.TAKE_READING),
        "mine": [one.row.pk for one in readings if may_correct(one.row)],
    }
    return render(request, "plant/meters/list.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def meter_reading_new(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    heading = _("New meter reading of %(tag)s") % {"tag": row.tag}
    page = FormPage(heading, _("Keep the reading"), _list_of(row), row)
    with timezone.override(row.plant.zone_info):
        initial = {
            "quantity": _quantity_asked(request).value,
            "read_at": timezone.localtime(timezone.now()),
            "read_by": str(who(request))[:80],
        }
        form = MeterReadingForm(posted(request), initial=initial)

        def save() -> str:
            kept, _is_new = reading_meters.keep_reading(
                conveyor_id=row.pk, new=form.new_reading(), by=who(request), now=timezone.now()
            )
            messages.success(request, _("Kept."))
            return f"{_list_of(row)}?meter={kept.quantity}"

        return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def meter_reading_remove(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    reading = access.one_visible(MeterReading.objects.all(), request.user, conveyor=row, pk=pk)
    access.require_correcting(request.user, reading.kept_by_id)
    heading = _("Take back this meter reading of %(tag)s?") % {"tag": row.tag}
    back = f"{_list_of(row)}?meter={reading.quantity}"
    page = FormPage(heading, _("Take it back"), back, row)

    def act() -> str:
        reading_meters.take_back_reading(conveyor_id=row.pk, reading_id=reading.pk, by=who(request))
        messages.success(request, _("The reading is taken back."))
        return back

    return answer_question(request, page, act, _facts(row, reading))


def _facts(row: Conveyor, reading: MeterReading) -> list[tuple[str, str]]:
    shown = reading.reading if reading.reading is not None else reading.new_meter_first
    return [
        (_("Meter"), reading.get_quantity_display()),
        (_("Read"), meter_words.when_words(reading.read_at, row.plant.zone_info)),
        (_("Reading"), meter_words.figure_words(float(shown or 0), reading.unit)),
        (_("How the meter went on"), reading.get_went_on_display()),
    ]


def _list_of(row: Conveyor) -> str:
    return reverse("meters", args=[row.plant.code, row.tag])


def _quantity_asked(request: HttpRequest) -> MeterQuantity:
    try:
        return MeterQuantity(request.GET.get("meter", ""))
    except ValueError:
        return MeterQuantity.RUNNING_HOURS
