"""Editing a draft: entries by their forms or as text; dropped, and taken back."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from diagnostics.edition_forms import EntryForm, SureForm, WhyForm
from diagnostics.entry_fields_form import Choices, EntryFieldsForm
from diagnostics.entry_texts import text_of
from diagnostics.knowledge_change_words import KIND_WORDS, entry_name, shown_change
from diagnostics.knowledge_comparison import Entry, EntryChange, Kind, entries_of
from diagnostics.knowledge_digest import mark_of
from diagnostics.models import KnowledgeEdition
from diagnostics.rule_form import RuleForm
from diagnostics.selectors import editions as selector
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.services.knowledge_keeping import EntryHasChanged, EntryRefused, Wanted
from diagnostics.views.knowledge_editions import around, edition_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_ANY_FORM = RuleForm | EntryForm | EntryFieldsForm


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_rule_new(request: HttpRequest, pk: int) -> HttpResponse:
    return _rule(request, edition_asked(request, pk), None)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_rule(request: HttpRequest, pk: int, rule_slug: str) -> HttpResponse:
    draft = edition_asked(request, pk)
    return _rule(request, draft, _entry_or_404(draft, Kind.RULE, rule_slug))


def _rule(request: HttpRequest, draft: KnowledgeEdition, entry: Entry | None) -> HttpResponse:
    if not draft.is_draft:
        return _no_draft(request, draft)
    form = RuleForm(
        request.POST if request.method == "POST" else None,
        entry=entry,
        causes=shelf.library_in(draft).knowledge.causes,
        initial={"seen": mark_of(entry)},
    )
    page = {"kind": Kind.RULE, "entry": entry, "template": "diagnostics/editions/rule.html"}
    if request.method == "GET" or not form.is_valid():
        return _form(request, draft, form, page, status=400 if form.errors else 200)
    return _keep(request, draft, form, form.rule(), page)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_entry_new(request: HttpRequest, pk: int, entry_kind: str) -> HttpResponse:
    return _text(request, edition_asked(request, pk), _kind_or_404(entry_kind), None)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_entry(request: HttpRequest, pk: int, entry_kind: str, entry_slug: str) -> HttpResponse:
    draft, kind = edition_asked(request, pk), _kind_or_404(entry_kind)
    return _text(request, draft, kind, _entry_or_404(draft, kind, entry_slug))


def _text(
    request: HttpRequest, draft: KnowledgeEdition, kind: Kind, entry: Entry | None
) -> HttpResponse:
    if not draft.is_draft:
        return _no_draft(request, draft)
    as_text = kind is Kind.RULE or "as_text" in request.GET
    make = _text_form if as_text else _fields_form
    form = make(request, draft, kind, entry)
    page: dict[str, Any] = {"kind": kind, "entry": entry, "as_text": as_text}
    page |= {"template": "diagnostics/editions/entry.html", "is_rule": kind is Kind.RULE}
    if request.method == "GET" or not form.is_valid():
        return _form(request, draft, form, page, status=400 if form.errors else 200)
    return _keep(request, draft, form, form.wanted(), page)


def _text_form(
    request: HttpRequest, draft: KnowledgeEdition, kind: Kind, entry: Entry | None
) -> EntryForm | EntryFieldsForm:
    begun = entry if entry is not None else next(iter(entries_of(draft.contents, kind).values()))
    return EntryForm(
        request.POST if request.method == "POST" else None,
        kind=kind,
        initial={"text": text_of(kind, begun), "seen": mark_of(entry)},
    )


def _fields_form(
    request: HttpRequest, draft: KnowledgeEdition, kind: Kind, entry: Entry | None
) -> EntryForm | EntryFieldsForm:
    return EntryFieldsForm(
        request.POST if request.method == "POST" else None,
        kind=kind,
        entry=entry,
        choices=Choices.of(draft.contents),
        initial={"seen": mark_of(entry)},
    )


def _keep(
    request: HttpRequest,
    draft: KnowledgeEdition,
    form: _ANY_FORM,
    entry: dict[str, Any],
    page: dict[str, Any],
) -> HttpResponse:
    stands: Entry | None = page["entry"]
    slug = str(entry.get("slug", "")) if stands is None else stands["slug"]
    wanted = Wanted(page["kind"], slug, entry, form.cleaned_data["seen"])
    try:
        keeping.keep_entry(
            draft_id=draft.pk,
            wanted=wanted,
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except EntryHasChanged as refusal:
        return _somebody_was_first(request, draft, form, page, refusal, entry)
    except EntryRefused as refusal:
        form.add_error(_field_of(form, refusal.field), str(refusal))
        return _form(request, draft, form, page, status=400)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _form(request, draft, form, page, status=409)
    messages.success(request, _("Kept in the draft."))
    return redirect("edition", draft.pk)


def _field_of(form: _ANY_FORM, field: str) -> str | None:
    if "text" in form.fields:
        return "text"
    names = (".".join(field.split(".")[:depth]) for depth in (2, 1))
    return next((one for one in names if one in form.fields), None)


def _somebody_was_first(
    request: HttpRequest,
    draft: KnowledgeEdition,
    form: _ANY_FORM,
    page: dict[str, Any],
    refusal: EntryHasChanged,
    typed: dict[str, Any],
) -> HttpResponse:
    """Shows what stands beside what was typed; sent again, the typed words take its place."""
    kind: Kind = page["kind"]
    both = EntryChange(kind, str(typed.get("slug", "")), refusal.stands, typed)
    names = selector.names_in(draft.contents)
    typed_again = request.POST.copy()
    typed_again["seen"] = mark_of(refusal.stands)
    form.data = typed_again
    page = page | {"stale": str(refusal), "differences": shown_change(both, names).fields}
    return _form(request, draft, form, page, status=409)


def _form(
    request: HttpRequest,
    draft: KnowledgeEdition,
    form: _ANY_FORM,
    page: dict[str, Any],
    *,
    status: int,
) -> HttpResponse:
    kind: Kind = page["kind"]
    entry: Entry | None = page["entry"]
    context = around(request, draft) | page
    context |= {
        "form": form,
        "kind_words": KIND_WORDS[kind],
        "slug": entry["slug"] if entry else "",
        "name": entry_name(entry) if entry else "",
    }
    return render(request, page["template"], context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_entry_drop(
    request: HttpRequest, pk: int, entry_kind: str, entry_slug: str
) -> HttpResponse:
    draft, kind = edition_asked(request, pk), _kind_or_404(entry_kind)
    entry = _entry_or_404(draft, kind, entry_slug)
    form = WhyForm(request.POST or None, initial={"seen": mark_of(entry)})
    words = {"kind": KIND_WORDS[kind], "name": entry_name(entry)}
    asked = {
        "heading": _("Drop this %(kind)s?") % words,
        "says": words["name"],
        "button": _("Drop it from the draft"),
        "note": _("It stays in earlier editions, and old cases still name it."),
    }
    if request.method == "GET" or not form.is_valid():
        return ask(request, draft, form, asked)

    def drop() -> object:
        return keeping.keep_entry(
            draft_id=draft.pk,
            wanted=Wanted(kind, entry_slug, None, form.cleaned_data["seen"]),
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )

    return do(request, draft, form, asked, drop, _("Dropped from the draft."))


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_change_back(
    request: HttpRequest, pk: int, entry_kind: str, entry_slug: str
) -> HttpResponse:
    """Let an entry say again what it said before the draft; asks first, for words are lost."""
    draft, kind = edition_asked(request, pk), _kind_or_404(entry_kind)
    change = draft.changes.filter(kind=kind.value, slug=entry_slug).first()
    if change is None:
        raise Http404
    form = SureForm(request.POST or None, initial={"seen": mark_of(change.after)})
    asked = {
        "heading": _("Take this change back?"),
        "says": entry_name(change.after or change.before or {}),
        "button": _("Take it back"),
        "note": _("What the draft says of it is lost; it says again what is in force."),
    }
    if request.method == "GET" or not form.is_valid():
        return ask(request, draft, form, asked)

    def take_back() -> object:
        seen = form.cleaned_data["seen"]
        return keeping.take_back_change(draft_id=draft.pk, kind=kind, slug=entry_slug, seen=seen)

    return do(request, draft, form, asked, take_back, _("Taken back."))


def ask(
    request: HttpRequest,
    edition: KnowledgeEdition,
    form: WhyForm | SureForm,
    asked: dict[str, Any],
    *,
    status: int | None = None,
) -> HttpResponse:
    context = around(request, edition) | {"form": form, "asked": asked}
    status = status or (400 if form.errors else 200)
    return render(request, "diagnostics/editions/ask.html", context, status=status)


def do(
    request: HttpRequest,
    edition: KnowledgeEdition,
    form: WhyForm | SureForm,
    asked: dict[str, Any],
    work: Any,
    said: str,
) -> HttpResponse:
    """Do what was asked about; what refuses is said on the same page."""
    try:
        done = work()
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return ask(request, edition, form, asked, status=409)
    messages.success(request, said)
    return redirect("edition", done.pk)


def _no_draft(request: HttpRequest, edition: KnowledgeEdition) -> HttpResponse:
    messages.error(request, _("Only a draft can be changed. Begin one on the list of editions."))
    return redirect("edition", edition.pk)


def _kind_or_404(kind: str) -> Kind:
    if kind not in {one.value for one in Kind}:
        raise Http404
    return Kind(kind)


def _entry_or_404(edition: KnowledgeEdition, kind: Kind, slug: str) -> Entry:
    entry = entries_of(edition.contents, kind).get(slug)
    if entry is None:
        raise Http404
    return entry
