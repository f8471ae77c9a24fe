"""Addresses of the Knowledge pages."""

from django.urls import path

from diagnostics.views import knowledge

urlpatterns = [
    path("knowledge/", knowledge.causes, name="knowledge"),
    path("knowledge/rules/", knowledge.rules, name="rules"),
    path("knowledge/rules/<slug:rule_slug>/", knowledge.rule, name="rule"),
    path("knowledge/causes/<slug:slug>/", knowledge.cause, name="cause"),
]
