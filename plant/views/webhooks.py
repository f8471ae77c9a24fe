"""Webhooks: where changes are sent to, kept by administrators of the plant."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import WebhookDelivery, WebhookTarget
from plant.roles import Permission
from plant.selectors import webhooks as selector
from plant.services import keeping_webhooks as service
from plant.services import webhook_trial
from plant.webhook_forms import LogForm, SecretForm, WebhookChangeForm, WebhookForm
from plant.webhook_words import answer_words

_ROWS = 25
_IN = "plant/webhooks/"


@require_safe
@needs(Permission.ADMINISTER)
def webhooks(request: HttpRequest) -> HttpResponse:
    rows = access.visible(WebhookTarget.objects.select_related("plant"), request.user)
    shown = selector.with_counts(rows).order_by("plant__code", "name")
    page = Paginator(shown, _ROWS).get_page(request.GET.get("page"))
    return render(request, f"{_IN}list.html", {"page": page, "now": timezone.now()})


# Never kept by a browser or proxy: the answer to a good form holds the secret.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def webhook_new(request: HttpRequest) -> HttpResponse:
    plants = access.plants_of(request.user)
    form = WebhookForm(request.POST if request.method == "POST" else None, plants=plants)
    if request.method == "GET":
        return render(request, f"{_IN}new.html", {"form": form})
    if not form.is_valid():
        return render(request, f"{_IN}new.html", {"form": form}, status=400)
    plant, by = form.cleaned_data["plant"], access.person_of(request)
    try:
        target, secret = service.make_target(
            plant=plant, told=form.told(), by=by, now=timezone.now()
        )
    except DomainError as refusal:
        form.add_error(_field_of(refusal), str(refusal))
        return render(request, f"{_IN}new.html", {"form": form}, status=409)
    return _secret_page(request, target, secret)


@require_safe
@needs(Permission.ADMINISTER)
def webhook(request: HttpRequest, pk: int) -> HttpResponse:
    rows = selector.with_counts(WebhookTarget.objects.select_related("system", "spared_key"))
    target = access.one_visible(rows.select_related("plant", "made_by"), request.user, pk=pk)
    form = LogForm(request.GET, states=WebhookDelivery.State.choices)
    log = selector.log_of(target, form.chosen())
    page = Paginator(log, _ROWS).get_page(request.GET.get("page"))
    context = {
        "target": target,
        "secrets": target.secrets.all(),
        "form": form,
        "page": page,
        "now": timezone.now(),
    }
    return render(request, f"{_IN}one.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def webhook_change(request: HttpRequest, pk: int) -> HttpResponse:
    target = _one(request, pk)
    form = WebhookChangeForm(request.POST if request.method == "POST" else None, target=target)
    context = {"form": form, "target": target}
    if request.method == "GET":
        return render(request, f"{_IN}change.html", context)
    if not form.is_valid():
        return render(request, f"{_IN}change.html", context, status=400)
    version = form.cleaned_data["version"]
    try:
        service.change_target(target_id=target.pk, told=form.told(), version=version)
    except DomainError as refusal:
        context["form"] = _opened_on_now(request, target, refusal)
        return render(request, f"{_IN}change.html", context, status=409)
    messages.success(request, _("Kept. What is sent from now on goes there."))
    return redirect("webhook", target.pk)


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def webhook_secret(request: HttpRequest, pk: int) -> HttpResponse:
    target = _one(request, pk)
    form = SecretForm(request.POST if request.method == "POST" else None)
    context = {"form": form, "target": target}
    if request.method == "GET":
        return render(request, f"{_IN}secret.html", context)
    if not form.is_valid():
        return render(request, f"{_IN}secret.html", context, status=400)
    try:
        secret = service.change_secret(
            target_id=target.pk, overlap=form.overlap_span(), now=timezone.now()
        )
    except DomainError as refusal:
        form.add_error("overlap", str(refusal))
        return render(request, f"{_IN}secret.html", context, status=409)
    return _secret_page(request, target, secret)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def webhook_try(request: HttpRequest, pk: int) -> HttpResponse:
    target = _one(request, pk)
    context: dict[str, object] = {"target": target}
    if request.method == "POST":
        body, answer = webhook_trial.try_now(target=target, now=timezone.now())
        words = answer_words(answer.status, answer.fault)
        context |= {"body": body, "answer": answer, "words": words}
    return render(request, f"{_IN}try.html", context)


@require_POST
@needs(Permission.ADMINISTER)
def webhook_pause(request: HttpRequest, pk: int) -> HttpResponse:
    target = _one(request, pk)
    try:
        service.pause(target_id=target.pk, now=timezone.now())
    except DomainError as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, _("Paused. What changes meanwhile is sent when it goes on."))
    return redirect("webhook", target.pk)


@require_POST
@needs(Permission.ADMINISTER)
def webhook_resume(request: HttpRequest, pk: int) -> HttpResponse:
    target = _one(request, pk)
    try:
        is_whole = service.resume(target_id=target.pk)
    except DomainError as refusal:
        messages.warning(request, str(refusal))
        return redirect("webhook", target.pk)
    if is_whole:
        messages.success(request, _("It goes on from where it stopped."))
    else:
        gone = _("Some changes in between are no longer kept. Let the other system read the lists.")
        messages.warning(request, gone)
    return redirect("webhook", target.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def webhook_delete(request: HttpRequest, pk: int) -> HttpResponse:
    rows = selector.with_counts(WebhookTarget.objects.select_related("plant"))
    target = access.one_visible(rows, request.user, pk=pk)
    if request.method == "GET":
        return render(request, f"{_IN}delete.html", {"target": target})
    service.delete_target(target_id=target.pk)
    messages.success(request, _("%(name)s is told nothing more.") % {"name": target.name})
    return redirect("webhooks")


def _one(request: HttpRequest, pk: int) -> WebhookTarget:
    rows = WebhookTarget.objects.select_related("plant", "system")
    return access.one_visible(rows, request.user, pk=pk)


def _secret_page(request: HttpRequest, target: WebhookTarget, secret: str) -> HttpResponse:
    context = {"target": target, "secret": secret}
    return render(request, f"{_IN}made.html", context, status=201)


def _opened_on_now(
    request: HttpRequest, target: WebhookTarget, refusal: DomainError
) -> WebhookChangeForm:
    """What was typed stays, and sent once more it is meant for what stands now."""
    again = request.POST.copy()
    again["version"] = str(target.version)
    form = WebhookChangeForm(again, target=target)
    form.add_error(_field_of(refusal), str(refusal))
    return form


def _field_of(refusal: DomainError) -> str | None:
    fields = {service.WebhookNameTaken: "name", service.WebhookAddressRefused: "address"}
    return fields.get(type(refusal))
