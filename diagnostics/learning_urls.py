"""Addresses of what was learned, and of how often it was right."""

from django.urls import path

from diagnostics.views import hit_rate, learning

_CASES = "knowledge/learning/cases/<slug:number>"

urlpatterns = [
    path("knowledge/learning/", learning.learning, name="learning"),
    path("knowledge/learning/changes/", learning.changes, name="learning-changes"),
    path("knowledge/learning/weights/", learning.weights, name="learning-weights"),
    path(f"{_CASES}/set-aside/", learning.set_aside, name="learning-set-aside"),
    path(f"{_CASES}/take-in/", learning.take_in, name="learning-take-in"),
    path("knowledge/hit-rate/", hit_rate.hit_rate, name="hit-rate"),
    path("knowledge/hit-rate/rules/", hit_rate.misleading_rules, name="misleading-rules"),
    path(
        "knowledge/hit-rate/rules.csv",
        hit_rate.misleading_rules_file,
        name="misleading-rules-file",
    ),
    path("knowledge/hit-rate/<slug:figures>.csv", hit_rate.hit_rate_file, name="hit-rate-file"),
]
