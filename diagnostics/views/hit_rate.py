"""How often the first suggestions were right, and which rules mislead: pages and their tables."""

from django.core.cache import cache
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from diagnostics import hit_rate_pages
from diagnostics.hit_rate_forms import HitRateForm
from diagnostics.inference.track_record import LEAST_HELD, TrackRecord
from diagnostics.models import Case
from diagnostics.selectors import hit_rate as selectors
from diagnostics.selectors.trends import Period
from diagnostics.views.whose_knowledge import Whose, whose
from plant import access, exports
from plant.access import needs
from plant.models import Plant
from plant.roles import Permission
from plant.selectors.today import latest_day

_RULES_A_PAGE = 20
_KEEP_S = 24 * 3600


@require_safe
@needs(Permission.SEE)
def hit_rate(request: HttpRequest) -> HttpResponse:
    form, cases = _asked(request)
    period = form.period()
    judged = selectors.judged_cases(cases, period)
    context = {
        "form": form,
        "period": period,
        "shown": hit_rate_pages.drawn(hit_rate_pages.page_of(judged, period)),
        "least": hit_rate_pages.LEAST_CASES,
        "query": request.GET.urlencode(),
    }
    status = 200 if form.is_valid() else 400
    return render(request, "diagnostics/hit_rate/hit_rate.html", context, status=status)


@require_safe
@needs(Permission.SEE)
def hit_rate_file(request: HttpRequest, figures: str) -> HttpResponse:
    if figures not in hit_rate_pages.FILES:
        raise Http404
    form, cases = _asked(request)
    judged = selectors.judged_cases(cases, form.period())
    header, *rows = hit_rate_pages.file_rows(hit_rate_pages.page_of(judged, form.period()), figures)
    return exports.csv_response(f"hit-rate-{figures}", header, rows)


@require_safe
@needs(Permission.SEE)
def misleading_rules(request: HttpRequest) -> HttpResponse:
    known, form = _rules_asked(request)
    record = _record(known.plant, form.period()) if known.plant else None
    says = {rule.slug: rule.says for rule in known.knowledge.rules}
    rows = [(one, says.get(one.slug, one.slug)) for one in record.rules] if record else []
    context = {
        "whose": known,
        "form": form,
        "record": record,
        "page": Paginator(rows, _RULES_A_PAGE).get_page(request.GET.get("page")),
        "least": LEAST_HELD,
        "query": request.GET.urlencode(),
    }
    status = 200 if form.is_valid() else 400
    return render(request, "diagnostics/hit_rate/rules.html", context, status=status)


@require_safe
@needs(Permission.SEE)
def misleading_rules_file(request: HttpRequest) -> HttpResponse:
    known, form = _rules_asked(request)
    record = _record(known.plant, form.period()) if known.plant else None
    header = [_("rule"), _("held in cases"), _("hurt"), _("helped"), _("mean log gain"),
              _("lower"), _("upper")]  # fmt: skip
    rows = [
        [one.slug, one.held, one.hurt, one.helped, one.gain, one.lower, one.upper]
        for one in (record.rules if record else ())
    ]
    return exports.csv_response("rules-held-against-cases", header, rows)


def _asked(request: HttpRequest) -> tuple[HitRateForm, QuerySet[Case]]:
    plants = list(access.plants_of(request.user))
    form = HitRateForm(request.GET.dict(), plants=plants, today=latest_day(plants, timezone.now()))
    cases = access.visible(Case.objects.all(), request.user)
    if form.plant_code():
        cases = cases.filter(conveyor__plant__code=form.plant_code())
    return form, cases


def _rules_asked(request: HttpRequest) -> tuple[Whose, HitRateForm]:
    """Rules are one plant's, so the plant is chosen as on the pages of knowledge."""
    known = whose(request)
    today = latest_day([known.plant] if known.plant else [], timezone.now())
    return known, HitRateForm(request.GET.dict(), plants=[], today=today)


def _record(plant: Plant, period: Period) -> TrackRecord:
    """Seconds for ten thousand cases, so kept until something it is made of changes."""
    key = f"rules-held-{selectors.mark_of(plant, period)}".replace(" ", "_")
    found: TrackRecord | None = cache.get(key)
    if found is None:
        found = selectors.rules_at(plant, period)
        cache.set(key, found, _KEEP_S)
    return found
