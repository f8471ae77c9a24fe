"""Campaigns: the list, and how they are kept, changed and removed."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.models import Case
from plant import access
from plant.access import needs
from plant.models import Conveyor, Plant
from plant.roles import Permission
from plant.views.keeping import FormPage, answer_form, answer_question, posted, version_of, who
from workorders import campaign_words
from workorders.campaign_forms import CampaignForm
from workorders.models import Campaign
from workorders.selectors import campaign_results
from workorders.services import keeping_campaigns

_ROWS = 20


@require_safe
@needs(Permission.SEE)
def campaigns(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    chosen = next((one for one in plants if one.code == request.GET.get("plant")), None)
    rows = access.visible(Campaign.objects.all(), request.user)
    if chosen is not None:
        rows = rows.filter(plant=chosen)
    tags = Prefetch("conveyors", Conveyor.objects.order_by("tag"))
    rows = rows.select_related("plant").prefetch_related(tags)
    page = Paginator(rows, _ROWS).get_page(request.GET.get("page"))
    cases = access.visible(Case.objects.all(), request.user)
    results = campaign_results.results_of(list(page), cases, timezone.now())
    context = {
        "plants": plants,
        "chosen": chosen,
        "page": page,
        "rows": [
            (
                one,
                campaign_words.belts_words(one),
                campaign_words.family_words(one.family),
                campaign_words.result_words(results[one.pk]),
            )
            for one in page
        ],
        "may_keep": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/campaigns/campaigns.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def campaign_new(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=plant_code)
    form = CampaignForm(posted(request), plant=plant)
    more = {"sheet": _("Before and after"), "trail": _("Before and after")}
    page = FormPage(
        _("A campaign at %(plant)s") % {"plant": plant.name},
        _("Keep the campaign"),
        reverse("campaigns"),
        more=more,
    )

    def save() -> str:
        row = keeping_campaigns.keep_campaign(
            plant=plant, wanted=form.wanted(), by=who(request), now=timezone.now()
        )
        return reverse("campaign", args=[row.pk])

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def campaign_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = campaign_or_404(request, pk)
    form = CampaignForm(posted(request), plant=row.plant, initial=CampaignForm.initial_of(row))
    back = reverse("campaign", args=[row.pk])
    more = {
        "sheet": _("Before and after"),
        "trail": row.name,
        "remove": reverse("campaign-remove", args=[row.pk]),
    }
    page = FormPage(_("Change the campaign"), _("Keep"), back, row=row, more=more)

    def save() -> str:
        keeping_campaigns.change_campaign(
            campaign_id=row.pk, wanted=form.wanted(), version=version_of(request), by=who(request)
        )
        return back

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def campaign_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = campaign_or_404(request, pk)
    back = reverse("campaign", args=[row.pk])
    more = {
        "sheet": _("Before and after"),
        "trail": row.name,
        "says": _("Its name, days and belts are forgotten; cases and orders stay as they are."),
    }
    page = FormPage(_("Remove the campaign?"), _("Remove it"), back, more=more)
    facts = [
        (_("Name"), row.name),
        (_("Days"), f"{row.began_on:%Y-%m-%d} – {row.ended_on:%Y-%m-%d}"),
        (_("Belts"), campaign_words.belts_words(row)),
    ]

    def act() -> str:
        keeping_campaigns.remove_campaign(campaign_id=row.pk, by=who(request))
        messages.success(request, _("The campaign is removed."))
        return reverse("campaigns")

    return answer_question(request, page, act, facts)


def campaign_or_404(request: HttpRequest, pk: int) -> Campaign:
    tags = Prefetch("conveyors", Conveyor.objects.order_by("tag"))
    rows = Campaign.objects.select_related("plant", "kept_by").prefetch_related(tags)
    return access.one_visible(rows, request.user, pk=pk)
