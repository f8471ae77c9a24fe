"""Addresses of the Knowledge pages."""

from django.urls import path

from diagnostics.views import cause_cards, knowledge, searching, work_methods

urlpatterns = [
    path("knowledge/", searching.causes, name="knowledge"),
    path("knowledge/rules/", knowledge.rules, name="rules"),
    path("knowledge/rules/<slug:rule_slug>/", knowledge.rule, name="rule"),
    path("knowledge/causes/<slug:slug>/", knowledge.cause, name="cause"),
    path("knowledge/causes/<slug:slug>/card.pdf", cause_cards.cause_card, name="cause-card"),
    path("knowledge/cards/<slug:cause_class>.pdf", cause_cards.class_cards, name="class-cards"),
    path("knowledge/methods/", work_methods.methods, name="work-methods"),
    path("knowledge/methods/<slug:method>/", work_methods.method, name="work-method"),
]
