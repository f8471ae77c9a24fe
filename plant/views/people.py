"""People, for administrators: seen, added, changed, put out of use."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import User
from plant.people_forms import PeopleFilterForm, PersonForm
from plant.roles import Permission
from plant.selectors import people as selector
from plant.services import people as service

_ROWS = 25


@require_safe
@needs(Permission.ADMINISTER)
def people(request: HttpRequest) -> HttpResponse:
    form = PeopleFilterForm(request.GET)
    rows = selector.people_wanted(access.person_of(request), **form.wanted())
    page = Paginator(rows, _ROWS).get_page(request.GET.get("page"))
    return render(request, "plant/people/list.html", {"form": form, "page": page})


# Never kept by a browser or proxy: the answer to a good form holds the one-time password.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def person_new(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None, by=access.person_of(request))
    if request.method == "GET":
        return _form_page(request, form)
    if not form.is_valid():
        return _form_page(request, form, status=400)
    try:
        person, password = service.add_person(wanted=form.wanted(), by=access.person_of(request))
    except DomainError as refusal:
        return _refused(request, form, refusal)
    context = {"person": person, "password": password, "is_new": True}
    return render(request, "plant/people/password.html", context, status=201)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def person(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    form = PersonForm(request.POST or None, by=access.person_of(request), person=row)
    if request.method == "GET":
        return _form_page(request, form, row)
    if not form.is_valid():
        return _form_page(request, form, row, status=400)
    try:
        service.change_person(person_id=pk, wanted=form.wanted(), by=access.person_of(request))
    except DomainError as refusal:
        return _refused(request, form, refusal, row)
    messages.success(request, _("%(person)s is changed.") % {"person": row})
    return redirect("people")


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def person_password(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    if request.method == "GET":
        return _ask(request, row, "password")
    try:
        _person, password = service.reset_password(person_id=pk, by=access.person_of(request))
    except DomainError as refusal:
        return _ask(request, row, "password", refusal)
    context = {"person": row, "password": password}
    return render(request, "plant/people/password.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def person_out_of_use(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    if request.method == "GET":
        return _ask(request, row, "out_of_use")
    try:
        service.put_out_of_use(person_id=pk, by=access.person_of(request))
    except DomainError as refusal:
        return _ask(request, row, "out_of_use", refusal)
    messages.success(request, _("%(person)s can sign in no more.") % {"person": row})
    return redirect("person", pk=pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def person_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    if request.method == "GET":
        return _ask(request, row, "back")
    try:
        service.take_back(person_id=pk, by=access.person_of(request))
    except DomainError as refusal:
        return _ask(request, row, "back", refusal)
    messages.success(request, _("%(person)s can sign in again.") % {"person": row})
    return redirect("person", pk=pk)


def _row(request: HttpRequest, pk: int) -> User:
    rows = access.people_of(request.user).prefetch_related("groups", "plants")
    return get_object_or_404(rows, pk=pk)


def _form_page(
    request: HttpRequest, form: PersonForm, row: User | None = None, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "person": row,
        "in_reach": row is None or access.may_handle(request.user, row),
        "is_me": row is not None and row.pk == request.user.pk,
        "plant": access.plants_of(request.user).first(),
    }
    return render(request, "plant/people/form.html", context, status=status)


def _refused(
    request: HttpRequest, form: PersonForm, refusal: DomainError, row: User | None = None
) -> HttpResponse:
    fields = {"user_name_taken": "username", "own_administrator_role": "roles"}
    fields |= {"person_needs_plant": "plants", "plant_not_yours": "plants"}
    form.add_error(fields.get(refusal.code), str(refusal))
    return _form_page(request, form, row, status=409)


def _ask(
    request: HttpRequest, row: User, what: str, refusal: DomainError | None = None
) -> HttpResponse:
    context = {"person": row, "what": what, "refusal": refusal}
    return render(request, "plant/people/ask.html", context, status=409 if refusal else 200)
