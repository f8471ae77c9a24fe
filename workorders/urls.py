"""Addresses of the work pages."""

from django.urls import path

from workorders import (  # noqa: F401
    booking_urls,
    campaign_urls,
    hand_over_urls,
    lives_urls,
    mend_urls,
    monthly_report_urls,
    order_number,
    papers_urls,
    part_urls,
    plan_urls,
    raising_urls,
    sheet_urls,
    shift_urls,
    status_file_urls,
    windows_urls,
)
from workorders.views import changing, moving, orders, proving, raising

urlpatterns = [
    *hand_over_urls.urlpatterns,
    *status_file_urls.urlpatterns,
    *windows_urls.urlpatterns,
    path("work/", orders.work, name="work"),
    path("work/new/", raising.order_new, name="order-new"),
    path("work/again/<int:hypothesis_pk>/", raising.order_raise_again, name="order-raise-again"),
    path("work/<order_number:number>/", orders.order, name="order"),
    path("work/<order_number:number>/move/", moving.order_move, name="order-move"),
    path("work/<order_number:number>/waiting/", changing.order_waiting, name="order-waiting"),
    path("work/<order_number:number>/goes-on/", changing.order_goes_on, name="order-goes-on"),
    path("work/<order_number:number>/urgency/", changing.order_urgency, name="order-urgency"),
    path(
        "work/<order_number:number>/planned-for/",
        changing.order_planned_for,
        name="order-planned-for",
    ),
    path("work/<order_number:number>/edit/", changing.order_edit, name="order-edit"),
    path("work/<order_number:number>/steps/<int:place>/", changing.order_step, name="order-step"),
    path("work/<order_number:number>/notes/", changing.order_note, name="order-note"),
    path("work/<order_number:number>/proof/", proving.order_proof, name="order-proof"),
    *booking_urls.urlpatterns,
    *papers_urls.urlpatterns,
    *plan_urls.urlpatterns,
    *lives_urls.urlpatterns,
    *mend_urls.urlpatterns,
    *campaign_urls.urlpatterns,
    *monthly_report_urls.urlpatterns,
    *shift_urls.urlpatterns,
    *part_urls.urlpatterns,
    *sheet_urls.urlpatterns,
    *raising_urls.urlpatterns,
]
