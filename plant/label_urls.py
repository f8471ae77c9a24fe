"""Addresses of labels: of one conveyor under its own, of all conveyors beside the list."""

from django.urls import re_path

from plant.views import labels

of_conveyor = [
    re_path(r"^$", labels.conveyor_labels, name="conveyor-labels"),
    re_path(
        r"^sheet\.(?P<kind>pdf|png)$", labels.conveyor_label_sheet, name="conveyor-label-sheet"
    ),
]
of_all = [
    re_path(r"^$", labels.labels, name="labels"),
    re_path(r"^sheet\.(?P<kind>pdf|png)$", labels.label_sheet, name="label-sheet"),
]
