"""Addresses of the register: conveyors and what they are made of."""

from django.urls import URLPattern, URLResolver, include, path

from plant import label_urls
from plant.loop.belt_operations import WorkKind
from plant.views import (
    belt_places,
    belt_works,
    belts,
    component_page,
    components,
    conveyor_keeping,
    conveyors,
    drawings,
    history,
    profiles,
)

_belt: list[URLPattern | URLResolver] = [
    path("", belt_works.belt_page, name="belt"),
    path("splice/", belt_works.belt_work, {"kind": WorkKind.SPLICED}, "belt-spliced"),
    path("reference/", belt_works.belt_work, {"kind": WorkKind.REFERENCE}, "belt-reference-moved"),
    path("cut-out/", belt_works.belt_work, {"kind": WorkKind.CUT_OUT}, "belt-section-cut-out"),
    path("put-in/", belt_works.belt_work, {"kind": WorkKind.PUT_IN}, "belt-section-put-in"),
    path("turn/", belt_works.belt_work, {"kind": WorkKind.TURNED}, "belt-turned"),
    path("replace/", belt_works.belt_replace, name="belt-replace"),
    path("works/<int:pk>/undo/", belt_works.belt_work_undo, name="belt-work-undo"),
    path("edit/", belts.belt_edit, name="belt-edit"),
    path("take-off/", belts.belt_take_off, name="belt-take-off"),
    path("put-back/", belts.belt_put_back, name="belt-put-back"),
    path("splices/new/", belt_places.splice_new, name="splice-new"),
    path("splices/<int:pk>/edit/", belt_places.splice_edit, name="splice-edit"),
    path("splices/<int:pk>/remove/", belt_places.splice_remove, name="splice-remove"),
    path("marks/new/", belt_places.mark_new, name="mark-new"),
    path("marks/<int:pk>/edit/", belt_places.mark_edit, name="mark-edit"),
    path("marks/<int:pk>/remove/", belt_places.mark_remove, name="mark-remove"),
]
_conveyor: list[URLPattern | URLResolver] = [
    path("", conveyors.conveyor, name="conveyor"),
    path("history/", history.conveyor_history, name="conveyor-history"),
    path("history/as-it-stood/", history.conveyor_as_it_stood, name="conveyor-as-it-stood"),
    path("drawing/", drawings.conveyor_drawing, name="conveyor-drawing"),
    path("drawing/sheet.pdf", drawings.conveyor_drawing_sheet, name="conveyor-drawing-sheet"),
    path("heights/", profiles.conveyor_heights, name="conveyor-heights"),
    path("edit/", conveyor_keeping.conveyor_edit, name="conveyor-edit"),
    path("lay-out/", conveyor_keeping.conveyor_lay_out, name="conveyor-lay-out"),
    path("retire/", conveyor_keeping.conveyor_retire, name="conveyor-retire"),
    path("take-back/", conveyor_keeping.conveyor_take_back, name="conveyor-take-back"),
    path("components/new/", components.component_new, name="component-new"),
    path("components/<int:pk>/edit/", components.component_edit, name="component-edit"),
    path("components/<int:pk>/remove/", components.component_remove, name="component-remove"),
    path("components/<int:pk>/", component_page.component, name="component"),
    path("attachments/", include("plant.attachment_urls")),
    path("idlers/", include("plant.idler_urls")),
    path("rolls/", include("plant.roll_urls")),
    path("readings/", include("plant.condition_urls")),
    path("meters/", include("plant.meter_urls")),
    path("labels/", include(label_urls.of_conveyor)),
    path("belts/fit/", belts.belt_fit, name="belt-fit"),
    path("belts/<int:belt>/", include(_belt)),
]
urlpatterns = [
    path("conveyors/", conveyors.conveyors, name="conveyors"),
    path("conveyors/files/", include("plant.import_urls")),
    path("conveyors/labels/", include(label_urls.of_all)),
    path("conveyors/new/", conveyor_keeping.conveyor_new, name="conveyor-new"),
    path("conveyors/<str:plant_code>/<str:tag>/", include(_conveyor)),
]
