"""How forms of windows and crews are answered: refused in words, or asked before they are kept."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from plant import access
from plant.errors import DomainError
from plant.models import Plant
from plant.services.register_refusals import FieldRefusal, StaleForm
from workorders.services.outages.weighing import AsksFirst

_FORM = "workorders/outages/form.html"
# The mark of what a person has seen of the consequences; longer is none of ours.
_LONGEST_MARK = 64


@dataclass(frozen=True)
class AskPage:
    """What stands around a form; `back` is an address and its words."""

    heading: str
    button: str
    back: tuple[str, str]
    plant: Plant
    version: int | None = None
    says: str = ""
    # What a row says of itself now, for whoever opened it before somebody changed it.
    facts: Callable[[Any], Sequence[tuple[str, str]]] | None = None
    more: dict[str, Any] = field(default_factory=dict)


def answer(
    request: HttpRequest, form: forms.Form, page: AskPage, save: Callable[[], str]
) -> HttpResponse:
    """`save` keeps what the valid form holds and says where to go next.

    What it breaks is shown first: the same button then means it.
    """
    if request.method != "POST":
        return _shown(request, form, page, 200)
    if not form.is_valid():
        return _shown(request, form, page, 400)
    try:
        return redirect(save())
    except AsksFirst as asks:
        return _shown(request, form, page, 409, asks=asks.consequences, refusal=str(asks))
    except StaleForm as refusal:
        # Pressing again now means: having seen how it stands.
        facts = page.facts(refusal.row) if page.facts else ()
        told = {"version": refusal.row.version, "facts": facts, "refusal": _stale()}
        return _shown(request, form, page, 409, **told)
    except FieldRefusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        return _shown(request, form, page, 409)
    except DomainError as refusal:
        return _shown(request, form, page, 409, refusal=str(refusal))


def seen(request: HttpRequest) -> str:
    """What the person has been shown of the consequences; empty: nothing yet."""
    return request.POST.get("seen", "")[:_LONGEST_MARK]


def version_seen(request: HttpRequest) -> int:
    """The version a form was opened on; a form without one counts as stale."""
    said = request.POST.get("version", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else -1


def posted(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" else None


def plant_asked(request: HttpRequest, code: str) -> Plant:
    return access.one_visible(Plant.objects.all(), request.user, code=code)


def no_plant(request: HttpRequest, heading: str, here: str) -> HttpResponse:
    context = {"heading": heading, "here": here}
    return render(request, "workorders/outages/no_plant.html", context)


def _stale() -> str:
    return _(
        "Somebody changed this while you had it open. Nothing of yours is kept yet: above is how "
        "it stands now; press again if yours shall stand."
    )


def _shown(
    request: HttpRequest,
    form: forms.Form,
    page: AskPage,
    status: int,
    **more: Any,
) -> HttpResponse:
    context = {"form": form, "page": page, "plant": page.plant, "version": page.version}
    return render(request, _FORM, {**context, **page.more, **more}, status=status)
