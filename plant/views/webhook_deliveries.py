"""Single deliveries of a webhook: looked at, sent again, given up."""

import json

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import WebhookDelivery, WebhookTarget
from plant.roles import Permission
from plant.selectors import webhooks as selector
from plant.services import webhook_bodies, webhook_lines
from plant.webhook_words import answer_words
from plant.webhooks.answers import Fault

_IN = "plant/webhooks/"


@require_safe
@needs(Permission.ADMINISTER)
def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    one = _one(request, pk)
    # Looking at it is no try: what has no word is not counted once more.
    body = webhook_bodies.read_bodies(one.target, [one], set()).get(one.number, "")
    is_kept = body and not isinstance(body, Fault)
    shown = json.dumps(json.loads(body), indent=2, ensure_ascii=False) if is_kept else ""
    words = answer_words(one.status, one.fault)
    context = {"delivery": one, "target": one.target, "body": shown, "words": words}
    return render(request, f"{_IN}delivery.html", {**context, "now": timezone.now()})


@require_POST
@needs(Permission.ADMINISTER)
def send_again(request: HttpRequest, pk: int) -> HttpResponse:
    one = _one(request, pk)
    try:
        webhook_lines.send_again(delivery_id=one.pk, now=timezone.now())
    except DomainError as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, _("It is sent again within seconds, under the same id."))
    return redirect("webhook-delivery", one.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def give_up(request: HttpRequest, pk: int) -> HttpResponse:
    one = _one(request, pk)
    if request.method == "GET":
        return render(request, f"{_IN}give_up.html", {"delivery": one, "target": one.target})
    try:
        webhook_lines.give_up(delivery_id=one.pk, now=timezone.now())
    except DomainError as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, _("Given up. Send it again if it is needed after all."))
    return redirect("webhook-delivery", one.pk)


@require_POST
@needs(Permission.ADMINISTER)
def send_all_again(request: HttpRequest, pk: int) -> HttpResponse:
    target = access.one_visible(WebhookTarget.objects.all(), request.user, pk=pk)
    many = webhook_lines.send_all_parked(target_id=target.pk, now=timezone.now())
    words = ngettext("%(many)d is sent again.", "%(many)d are sent again.", many)
    messages.success(request, words % {"many": many})
    return redirect("webhook", target.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def give_up_all(request: HttpRequest, pk: int) -> HttpResponse:
    rows = selector.with_counts(WebhookTarget.objects.select_related("plant"))
    target = access.one_visible(rows, request.user, pk=pk)
    if request.method == "GET":
        return render(request, f"{_IN}give_up_all.html", {"target": target})
    many = webhook_lines.give_up_all_parked(target_id=target.pk, now=timezone.now())
    words = ngettext("%(many)d is given up.", "%(many)d are given up.", many)
    messages.success(request, words % {"many": many})
    return redirect("webhook", target.pk)


def _one(request: HttpRequest, pk: int) -> WebhookDelivery:
    rows = WebhookDelivery.objects.select_related("target__plant", "target__system")
    return access.one_visible(selector.with_line(rows), request.user, pk=pk)
