"""Addresses of a conveyor's condition readings, under its own."""

from django.urls import path

from plant.selectors.change_words import CONDITION
from plant.views import condition, condition_round, history

urlpatterns = [
    path("", condition.conditions, name="conditions"),
    path("history/", history.readings_history, {"kind": CONDITION}, "condition-history"),
    path("new/", condition.condition_new, name="condition-new"),
    path("round/", condition_round.round_begin, name="condition-round"),
    path("round/<int:stop>/", condition_round.round_stop, name="condition-round-stop"),
    path("<int:pk>/correct/", condition.condition_correct, name="condition-correct"),
    path("<int:pk>/right/", condition.condition_right, name="condition-right"),
    path("<int:pk>/take-back/", condition.condition_take_back, name="condition-take-back"),
]
