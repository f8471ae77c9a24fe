"""A draft tried on the plant's confirmed cases: asked for, watched, stopped, read."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from diagnostics import trial_pages
from diagnostics.hit_rate_pages import calibration_chart
from diagnostics.models import KnowledgeTrial, TriedCase
from diagnostics.selectors import trials as selector
from diagnostics.services import knowledge_trying as trying
from diagnostics.views.knowledge_editions import edition_asked
from plant import access, chart_files, exports
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_CASES = 20
_OUTCOMES = TriedCase.Outcome


@require_POST
@needs(Permission.KEEP_KNOWLEDGE)
def edition_try(request: HttpRequest, pk: int) -> HttpResponse:
    draft = edition_asked(request, pk)
    try:
        asked = trying.ask_trial(
            edition_id=draft.pk, by=access.person_of(request), now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("edition", draft.pk)
    return redirect("trial", asked.pk)


@require_safe
@needs(Permission.KEEP_KNOWLEDGE)
def trial(request: HttpRequest, pk: int) -> HttpResponse:
    one = _trial(request, pk)
    context = _around(one) | {
        "others": selector.others_of(one),
        "kept_a_draft": trying.KEPT_A_DRAFT,
        "refusal": trial_pages.REFUSAL_WORDS.get(one.refusal, ""),
    }
    if one.is_tried:
        context |= _found(request, one) | _cases(request, one)
    drawn = [context.get("chart_before"), context.get("chart_after")]
    return chart_files.file_asked(request, drawn) or render(
        request, "diagnostics/trials/trial.html", context
    )


@require_safe
@needs(Permission.KEEP_KNOWLEDGE)
def trial_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once the trial has ended the whole page is asked for."""
    one = _trial(request, pk)
    response = render(request, "diagnostics/trials/_progress.html", _around(one))
    if not one.is_owed:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@needs(Permission.KEEP_KNOWLEDGE)
def trial_stop(request: HttpRequest, pk: int) -> HttpResponse:
    one = _trial(request, pk)
    if one.is_owed:
        trying.ask_stop(trial_id=one.pk, now=timezone.now())
        messages.success(request, _("It stops; nothing of the trial is kept."))
    return redirect("trial", one.pk)


@require_safe
@needs(Permission.KEEP_KNOWLEDGE)
def trial_file(request: HttpRequest, pk: int) -> HttpResponse:
    one = _trial(request, pk)
    names = selector.cause_names(one.edition)
    rows = selector.cases_of(one).iterator(chunk_size=1000)
    shown = [trial_pages.case_shown(row, names) for row in rows]
    header, *body = trial_pages.case_rows(shown)
    return exports.csv_response("cases-that-flip", header, body)


def _trial(request: HttpRequest, pk: int) -> KnowledgeTrial:
    return access.one_visible(selector.trials(), request.user, pk=pk)


def _around(one: KnowledgeTrial) -> dict[str, Any]:
    return {
        "one": one,
        "edition": one.edition,
        "plant": one.edition.plant,
        "is_silent": selector.is_silent(one, timezone.now()),
    }


def _found(request: HttpRequest, one: KnowledgeTrial) -> dict[str, Any]:
    outcome = trial_pages.outcome_of(one)
    assert outcome is not None
    before = calibration_chart("before", _("In force then"), outcome.before)
    after = calibration_chart("after", _("With the draft"), outcome.after)
    return {
        "outcome": outcome,
        "has_draft_changed": selector.has_draft_changed(one),
        "has_base_changed": selector.has_base_changed(one),
        "new_causes": selector.new_causes(one.edition),
        "chart_before": chart_files.with_file(request, before),
        "chart_after": chart_files.with_file(request, after),
    }


def _cases(request: HttpRequest, one: KnowledgeTrial) -> dict[str, Any]:
    asked = request.GET.get("kind", "")
    kind = asked if asked in _OUTCOMES.values else ""
    page = Paginator(selector.cases_of(one, kind), _CASES).get_page(request.GET.get("page"))
    names = selector.cause_names(one.edition)
    counts = selector.counts_by_outcome(one)
    return {
        "kind": kind,
        "kinds": [(value, words, counts.get(value, 0)) for value, words in _OUTCOMES.choices],
        "page": page,
        "shown": [trial_pages.case_shown(row, names) for row in page],
    }
