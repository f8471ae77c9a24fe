"""Work for what a close look found, by a button on its case."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from diagnostics.models import Finding
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.services import raising_from_finding


@require_POST
@needs(Permission.RAISE_ORDER)
def finding_raise_order(request: HttpRequest, pk: int) -> HttpResponse:
    finding = access.one_visible(Finding.objects.select_related("case"), request.user, pk=pk)
    try:
        order = raising_from_finding.raise_from_finding(
            finding_id=finding.pk, by=access.person_of(request), now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("case", finding.case.number)
    messages.success(request, _("%(number)s is proposed.") % {"number": order.number})
    return redirect("order", order.number)
