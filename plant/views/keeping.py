"""How every form of the register is answered: shown, refused with what was typed kept, saved."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, cast

from django import forms
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.formats import localize

from plant import access
from plant.errors import DomainError
from plant.models import Conveyor, User
from plant.models.versioned import Versioned
from plant.services.register_refusals import FieldRefusal, StaleForm

_FORM = "plant/register/form.html"
_ASK = "plant/register/ask.html"


@dataclass(frozen=True)
class FormPage:
    """What stands around a form; `row` is what it was opened on, None for something new."""

    heading: str
    button: str
    back: str
    conveyor: Conveyor | None = None
    row: Versioned | None = None
    template: str = _FORM
    more: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Difference:
    """A field that stands otherwise in the register than in the form that was sent."""

    label: str
    stands: str
    typed: str


def conveyor_or_404(request: HttpRequest, plant_code: str, tag: str) -> Conveyor:
    """The conveyor of an address, whatever the case of its tag's letters."""
    if "\x00" in plant_code + tag:
        raise Http404
    rows = Conveyor.objects.select_related("plant")
    return access.one_visible(rows, request.user, plant__code=plant_code, tag__iexact=tag)


def sheet_of(conveyor: Conveyor) -> str:
    return reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])


def who(request: HttpRequest) -> User:
    # Every page of the register is behind sign-in.
    return cast(User, request.user)


def posted(request: HttpRequest) -> QueryDict | None:
    """What fills a form: nothing when it is only asked for, an empty answer is still one."""
    return request.POST if request.method == "POST" else None


def version_of(request: HttpRequest) -> int:
    """The version a form was opened on; a form without one counts as stale."""
    said = request.POST.get("version", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else -1


def answer_form(
    request: HttpRequest, form: forms.BaseForm, page: FormPage, save: Callable[[], str]
) -> HttpResponse:
    """`save` keeps what the valid form holds and says where to go next."""
    if request.method != "POST":
        return _form_page(request, form, page, 200)
    if not form.is_valid():
        return _form_page(request, form, page, 400)
    try:
        return redirect(save())
    except StaleForm as refusal:
        differences = _differences(form, refusal.row)
        return _form_page(
            request, form, page, 409, row=refusal.row, stale=str(refusal), differences=differences
        )
    except FieldRefusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        return _form_page(request, form, page, 409)


def answer_question(
    request: HttpRequest, page: FormPage, act: Callable[[], str], facts: list[tuple[str, str]]
) -> HttpResponse:
    """Ask before something that cannot be taken back by one press; act on the answer."""
    context = {"page": page, "conveyor": page.conveyor, "facts": facts}
    if request.method != "POST":
        return render(request, _ASK, context)
    try:
        return redirect(act())
    except DomainError as refusal:
        return render(request, _ASK, {**context, "refusal": str(refusal)}, status=409)


def _form_page(
    request: HttpRequest, form: forms.BaseForm, page: FormPage, status: int, **more: Any
) -> HttpResponse:
    row = more.pop("row", page.row)
    context = {
        "form": form,
        "page": page,
        "conveyor": page.conveyor,
        "version": row.version if row else None,
        **page.more,
        **more,
    }
    return render(request, page.template, context, status=status)


def _differences(form: forms.BaseForm, row: Versioned) -> list[Difference]:
    found = []
    for name, typed in form.cleaned_data.items():
        stands, typed = _listed(getattr(row, name, None)), _listed(typed)
        if stands != typed and (stands or typed):
            label = str(form.fields[name].label)
            found.append(
                Difference(label, _in_words(form, name, stands), _in_words(form, name, typed))
            )
    return found


def _listed(value: Any) -> Any:
    """Rows that a field chose as a list, so that they can be compared and named."""
    return list(value.all()) if hasattr(value, "all") else value


def _in_words(form: forms.BaseForm, name: str, value: Any) -> str:
    if value is None or value == "" or value == []:
        return "—"
    if isinstance(value, bool):
        return str(localize(value))
    choices = dict(getattr(form.fields[name], "choices", ()))
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return str(choices.get(value, localize(value)))
