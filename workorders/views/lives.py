"""What lives say: of a plant, of a conveyor, of one kind on it; what replacing costs."""

from collections import defaultdict
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access, chart_files
from plant.access import needs
from plant.keys_typed import key_in
from plant.models import Conveyor, Plant
from plant.roles import Permission
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    version_of,
    who,
)
from workorders import life_pages
from workorders.life_subjects import LifeSubject, subject_words
from workorders.lives_forms import CostsForm
from workorders.models import ReplacementCosts
from workorders.selectors.life_answers import PlantAnswers, compare_stretches
from workorders.selectors.lives import Group, PlantLives
from workorders.services import keeping_costs
from workorders.services.keeping_costs import Costs
from workorders.views.limits import plant_or_404


@require_safe
@needs(Permission.SEE)
def lives(request: HttpRequest) -> HttpResponse:
    """The plants one by one: a plant's records are read at once."""
    plants = list(access.plants_of(request.user))
    chosen = next((one for one in plants if one.code == request.GET.get("plant")), None)
    plant = chosen or (plants[0] if plants else None)
    context: dict[str, Any] = {"plants": plants, "plant": plant, "rows": [], "belts": []}
    if plant is not None:
        answers = _answers(plant, timezone.now())
        context["rows"] = life_pages.rows_by_subject(answers)
        context["belts"] = _belts_with_enough(answers)
        context["kept"] = {one.value for one in answers.costs}
    return render(request, "workorders/lives/lives.html", context)


@require_safe
@needs(Permission.SEE)
def life_of_plant(request: HttpRequest, plant_code: str, subject: str) -> HttpResponse:
    plant, of = plant_or_404(request, plant_code), _subject(subject)
    answer = _answers(plant, timezone.now()).of(of)
    return _page(request, plant, None, {"life": life_pages.page_of(answer)})


@require_safe
@needs(Permission.SEE)
def lives_of_conveyor(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    answers = _answers(row.plant, timezone.now())
    context = {
        "conveyor": row,
        "plant": row.plant,
        "rows": life_pages.rows_by_subject(answers, row.pk),
        "groups": life_pages.rows_by_group(answers, answers.groups_of(row)),
    }
    return render(request, "workorders/lives/of_conveyor.html", context)


@require_safe
@needs(Permission.SEE)
def life_of_conveyor(request: HttpRequest, plant_code: str, tag: str, subject: str) -> HttpResponse:
    row, of = conveyor_or_404(request, plant_code, tag), _subject(subject)
    answers = _answers(row.plant, timezone.now())
    groups = [one for one in answers.groups_of(row) if one.subject is of]
    narrowed = key_in(request.GET.get("group", ""))
    group = next((one for one in groups if one.component and one.component.pk == narrowed), None)
    answer = answers.of(of, row.pk, group.component.pk if group and group.component else None)
    costs = answers.costs.get(of)
    stretches = None
    if of.is_of_rolls and costs is not None and group is None:
        stretches = life_pages.stretches_of(compare_stretches(answers, groups, costs), costs)
    shown = {
        "life": life_pages.page_of(answer, answers.lives.clocks.get(row.pk)),
        "group": group,
        "groups": life_pages.rows_by_group(answers, groups),
        "stretches": stretches,
        "is_of_rolls": of.is_of_rolls,
    }
    return _page(request, row.plant, row, shown)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def life_costs(request: HttpRequest, plant_code: str, subject: str) -> HttpResponse:
    plant, of = plant_or_404(request, plant_code), _subject(subject)
    rows = access.visible(ReplacementCosts.objects.all(), request.user)
    row = rows.filter(plant=plant, subject=of.value).first()
    page = _costs_page(plant, of, row)
    form = CostsForm(posted(request), instance=row or ReplacementCosts(plant=plant), subject=of)

    def save() -> str:
        keeping_costs.keep_costs(
            plant=plant,
            subject=of,
            costs=Costs(**form.cleaned_data),
            version=version_of(request) if row else None,
            by=who(request),
            now=timezone.now(),
        )
        messages.success(request, _("The costs are kept. The due list follows shortly."))
        return page.back

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def life_costs_remove(request: HttpRequest, plant_code: str, subject: str) -> HttpResponse:
    plant, of = plant_or_404(request, plant_code), _subject(subject)
    rows = access.visible(ReplacementCosts.objects.all(), request.user)
    row = rows.filter(plant=plant, subject=of.value).first()
    if row is None:
        raise Http404
    back = reverse("life-of-plant", args=[plant.code, of.value])
    says = {
        "says": _("Nothing of this kind is due by its age then; wear lines stay."),
        "trail": subject_words(of),
    }
    heading = _("Remove the costs of %(what)s?") % {"what": subject_words(of)}
    page = FormPage(heading, _("Remove them"), back, more=says)

    def act() -> str:
        keeping_costs.forget_costs(plant=plant, subject=of, by=who(request))
        messages.success(request, _("The costs are removed."))
        return back

    facts = [
        (_("Planned"), str(row.planned_cost)),
        (_("At its failure"), str(row.failure_cost)),
    ]
    return answer_question(request, page, act, facts)


def _costs_page(plant: Plant, of: LifeSubject, row: ReplacementCosts | None) -> FormPage:
    more: dict[str, Any] = {
        "trail": subject_words(of),
        "says": _(
            "In the plant's own currency. From these follow the cheapest age to replace at and, "
            "for rolls, whether to replace one, a stretch or all. Nothing is bought here."
        ),
    }
    if row is not None:
        more["remove"] = reverse("life-costs-remove", args=[plant.code, of.value])
    heading = _("What replacing costs: %(what)s") % {"what": subject_words(of)}
    back = reverse("life-of-plant", args=[plant.code, of.value])
    return FormPage(heading, _("Keep the costs"), back, None, row, more=more)


def _page(
    request: HttpRequest, plant: Plant, conveyor: Conveyor | None, shown: dict[str, Any]
) -> HttpResponse:
    chart = chart_files.with_file(request, shown["life"]["chart"])
    context = {
        "plant": plant,
        "conveyor": conveyor,
        "chart": chart,
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
        **shown,
    }
    return chart_files.file_asked(request, [chart]) or render(
        request, "workorders/lives/life.html", context
    )


def _answers(plant: Plant, now: datetime) -> PlantAnswers:
    return PlantAnswers(PlantLives(plant, now))


def _belts_with_enough(answers: PlantAnswers) -> list[dict[str, Any]]:
    """Belts whose own failures tell a life, the most failures first."""
    groups: dict[tuple[int, LifeSubject], list[Group]] = defaultdict(list)
    for one in answers.lives.groups:
        groups[one.conveyor.pk, one.subject].append(one)
    found = []
    for (_conveyor, subject), mine in groups.items():
        # Counted only: fitting the lives of every belt of a large plant takes a minute.
        data = answers.lives.data_of(subject, mine)
        if data.is_enough:
            found.append({"conveyor": mine[0].conveyor, "subject": subject.value,
                          "words": subject_words(subject), "failures": data.lives.failure_count,
                          "seen": data.lives.count})  # fmt: skip
    return sorted(found, key=lambda one: -one["failures"])


def _subject(said: str) -> LifeSubject:
    try:
        return LifeSubject(said)
    except ValueError as error:
        raise Http404 from error
