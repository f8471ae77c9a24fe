"""Addresses of diagnosis under /api/v1/."""

from django.urls import path, re_path

from diagnostics.api import bulk, case_moves, cases, feeds, findings, views

urlpatterns = [
    path("complaints", views.ComplaintList.as_view(), name="api-complaints"),
    path("complaints/bulk", bulk.ComplaintBulk.as_view(), name="api-complaints-bulk"),
    path("findings/bulk", bulk.FindingBulk.as_view(), name="api-findings-bulk"),
    path("complaints/changes", feeds.ComplaintFeed.as_view(), name="api-complaints-changes"),
    path("cases", cases.CaseList.as_view(), name="api-cases"),
    path("cases/changes", feeds.CaseFeed.as_view(), name="api-cases-changes"),
    path("cases/<str:number>/findings", findings.FindingList.as_view(), name="api-findings"),
    path("cases/<str:number>/findings/<int:id>", findings.FindingOne.as_view(), name="api-finding"),
    path("cases/<str:number>/moves", case_moves.CaseMoves.as_view(), name="api-case-moves"),
    re_path(
        r"^cases/(?P<number>[A-Z0-9]{1,12}-C-[0-9]{1,9})$", cases.CaseOne.as_view(), name="api-case"
    ),
    # As many digits as a key can have; a longer one is no resource.
    re_path(
        r"^complaints/(?P<id>[0-9]{1,18})$", views.ComplaintOne.as_view(), name="api-complaint"
    ),
]
