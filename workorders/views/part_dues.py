"""What is to come of a part: noted, put off, come, called off."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from plant.views.keeping import answer_form, answer_question, posted, version_of, who
from workorders.models import PartDue
from workorders.part_forms import AmountForm, DueForm
from workorders.part_words import amount_words, plain
from workorders.services import expecting_parts
from workorders.views.part_keeping import page_about, part_address, part_or_404


def _due_or_404(request: HttpRequest, pk: int) -> PartDue:
    return access.one_visible(PartDue.objects.select_related("part__plant"), request.user, pk=pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_due_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = part_or_404(request, pk)
    form = DueForm(posted(request), part=row)
    heading = _("%(part)s: more is to come") % {"part": row.number}
    page = page_about(row, heading, _("Note it"))

    def save() -> str:
        expecting_parts.expect_part(part_id=row.pk, by=who(request), **form.cleaned_data)
        messages.success(request, _("Noted."))
        return part_address(row)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_due_edit(request: HttpRequest, pk: int) -> HttpResponse:
    due = _due_or_404(request, pk)
    form = DueForm(posted(request), instance=PartDue.objects.get(pk=due.pk), part=due.part)
    heading = _("%(part)s comes otherwise") % {"part": due.part.number}
    page = page_about(due.part, heading, _("Keep"), row=due)

    def save() -> str:
        expecting_parts.put_off(
            due_id=due.pk, version=version_of(request), by=who(request), **form.cleaned_data
        )
        messages.success(request, _("Kept."))
        return part_address(due.part)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def part_due_came(request: HttpRequest, pk: int) -> HttpResponse:
    due = _due_or_404(request, pk)
    form = AmountForm(
        posted(request),
        initial={"amount": plain(due.amount)},
        part=due.part,
        label=gettext_lazy("so many came"),
    )
    says = _("Due %(day)s: %(amount)s. What has not come of it stays due.") % {
        "day": due.due_on.isoformat(),
        "amount": amount_words(due.amount, due.part),
    }
    heading = _("%(part)s has come") % {"part": due.part.number}
    page = page_about(due.part, heading, _("They are here"), row=due, says=says)

    def save() -> str:
        expecting_parts.take_in(
            due_id=due.pk,
            amount=form.cleaned_data["amount"],
            version=version_of(request),
            by=who(request),
            now=timezone.now(),
        )
        messages.success(request, _("On hand now."))
        return part_address(due.part)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def part_due_not_come(request: HttpRequest, pk: int) -> HttpResponse:
    due = _due_or_404(request, pk)
    heading = _("Has %(part)s not come after all?") % {"part": due.part.number}
    says = _("The number on hand goes down by as many, and they are due again.")
    page = page_about(due.part, heading, _("They have not come"), says=says)
    facts = [(_("Amount"), amount_words(due.amount, due.part))]

    def act() -> str:
        expecting_parts.take_in_back(due_id=due.pk, by=who(request), now=timezone.now())
        messages.success(request, _("They are due again."))
        return part_address(due.part)

    return answer_question(request, page, act, facts)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def part_due_call_off(request: HttpRequest, pk: int) -> HttpResponse:
    due = _due_or_404(request, pk)
    heading = _("Will %(part)s not come?") % {"part": due.part.number}
    says = _("Orders that wait for it are short then. It can be due again.")
    page = page_about(due.part, heading, _("It will not come"), says=says)
    facts = [
        (_("Due"), due.due_on.isoformat()),
        (_("Amount"), amount_words(due.amount, due.part)),
    ]

    def act() -> str:
        expecting_parts.call_off(due_id=due.pk, version=None, by=who(request), now=timezone.now())
        messages.success(request, _("Called off."))
        return part_address(due.part)

    return answer_question(request, page, act, facts)


@require_POST
@needs(Permission.PLAN_ORDER)
def part_due_after_all(request: HttpRequest, pk: int) -> HttpResponse:
    due = _due_or_404(request, pk)
    try:
        expecting_parts.expect_after_all(due_id=due.pk, by=who(request))
        messages.success(request, _("It is due again."))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect("part", due.part_id)
