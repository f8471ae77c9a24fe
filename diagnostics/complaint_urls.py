"""Addresses of complaints."""

from django.urls import path

from diagnostics.views import complaint_taking, complaints

urlpatterns = [
    path("complaints/", complaints.complaints, name="complaints"),
    path("complaints/new/", complaint_taking.complaint_new, name="complaint-new"),
    path("complaints/new/belts/", complaint_taking.belts_found, name="complaint-belts"),
    path("complaints/new/open-cases/", complaint_taking.open_on_belt, name="complaint-open-cases"),
    path("complaints/<int:pk>/", complaints.complaint, name="complaint"),
    path("complaints/<int:pk>/belt/", complaints.complaint_belt, name="complaint-belt"),
    path("complaints/<int:pk>/move/", complaints.complaint_move, name="complaint-move"),
    path("complaints/<int:pk>/withdraw/", complaints.complaint_withdraw, name="complaint-withdraw"),
    path("complaints/<int:pk>/stands/", complaints.complaint_reinstate, name="complaint-reinstate"),
]
