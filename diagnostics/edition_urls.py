"""Addresses of the editions of knowledge."""

from django.urls import path

from diagnostics.views import knowledge_drafts as drafts
from diagnostics.views import knowledge_editions as editions
from diagnostics.views import knowledge_publishing as publishing

_ONE = "knowledge/editions/<int:pk>"
_ENTRY = f"{_ONE}/entries/<str:entry_kind>"

urlpatterns = [
    path("knowledge/editions/", editions.editions, name="editions"),
    path("knowledge/editions/new/", editions.edition_new, name="edition-new"),
    path(
        "knowledge/editions/as-installed/",
        publishing.editions_as_installed,
        name="editions-as-installed",
    ),
    path(f"{_ONE}/", editions.edition, name="edition"),
    path(f"{_ONE}/compare/", editions.edition_compare, name="edition-compare"),
    path(f"{_ONE}/publish/", publishing.edition_publish, name="edition-publish"),
    path(f"{_ONE}/discard/", publishing.edition_discard, name="edition-discard"),
    path(f"{_ONE}/carry-over/", publishing.edition_carry_over, name="edition-carry-over"),
    path(f"{_ONE}/go-back/", publishing.edition_go_back, name="edition-go-back"),
    path(f"{_ONE}/new-rule/", drafts.edition_rule_new, name="edition-rule-new"),
    path(f"{_ONE}/rules/<slug:rule_slug>/", drafts.edition_rule, name="edition-rule"),
    path(f"{_ONE}/entries/", editions.edition_entries, name="edition-entries"),
    path(f"{_ONE}/new/<str:entry_kind>/", drafts.edition_entry_new, name="edition-entry-new"),
    path(f"{_ENTRY}/<slug:entry_slug>/", drafts.edition_entry, name="edition-entry"),
    path(f"{_ENTRY}/<slug:entry_slug>/drop/", drafts.edition_entry_drop, name="edition-entry-drop"),
    path(
        f"{_ENTRY}/<slug:entry_slug>/back/", drafts.edition_change_back, name="edition-change-back"
    ),
]
