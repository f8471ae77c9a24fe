"""Addresses of cases, walk-downs, close looks and diagnoses."""

from django.urls import path

from diagnostics.views import (
    case_report,
    cases,
    diagnosis,
    findings,
    timed_looks,
    walk_changes,
    walking,
)

urlpatterns = [
    path("cases/", cases.cases, name="cases"),
    path("cases/<slug:number>/", cases.case, name="case"),
    path("cases/<slug:number>/report.pdf", case_report.case_report, name="case-report"),
    path("cases/<slug:number>/move/", cases.case_move, name="case-move"),
    path("cases/<slug:number>/lost-hours/", cases.case_lost_hours, name="case-lost-hours"),
    path("cases/<slug:number>/diagnose/", cases.case_diagnose, name="case-diagnose"),
    path("cases/<slug:number>/close-looks/", findings.case_findings, name="case-findings"),
    path(
        "cases/<slug:number>/close-looks/<int:pk>/counts/",
        findings.finding_counts,
        name="finding-counts",
    ),
    path("cases/<slug:number>/walk-down/", walking.walk_down_new, name="walk-down-new"),
    path("cases/<slug:number>/timed-looks/", timed_looks.timed_looks, name="timed-looks"),
    path("cases/<slug:number>/timed-look/", timed_looks.timed_look_new, name="timed-look-new"),
    path(
        "cases/<slug:number>/timed-look/tapping/",
        timed_looks.timed_look_tapping,
        name="timed-look-tapping",
    ),
    path(
        "cases/<slug:number>/timed-look/sensor/",
        timed_looks.timed_look_sensor,
        name="timed-look-sensor",
    ),
    path("timed-looks/<int:pk>/", timed_looks.timed_look, name="timed-look"),
    path("timed-looks/<int:pk>/file/", timed_looks.timed_look_file, name="timed-look-file"),
    path(
        "timed-looks/<int:pk>/counts/",
        timed_looks.timed_look_counts,
        name="timed-look-counts",
    ),
    path("walk-downs/<int:pk>/", walking.walk_down, name="walk-down"),
    path("walk-downs/<int:pk>/pass/", walk_changes.walk_down_pass, name="walk-down-pass"),
    path("walk-downs/<int:pk>/noticed/", walk_changes.walk_down_remarks, name="walk-down-remarks"),
    path("walk-downs/<int:pk>/summary/", walk_changes.walk_down_summary, name="walk-down-summary"),
    path("walk-downs/<int:pk>/finish/", walk_changes.walk_down_finish, name="walk-down-finish"),
    path("walk-downs/<int:pk>/go-on/", walk_changes.walk_down_go_on, name="walk-down-go-on"),
    path(
        "walk-downs/<int:pk>/looks/<int:look_pk>/counts/",
        walk_changes.look_counts,
        name="look-counts",
    ),
    path("cases/<slug:number>/diagnoses/<int:pk>/", diagnosis.diagnosis, name="diagnosis"),
    path("cases/<slug:number>/cause/", diagnosis.cause_name, name="cause-name"),
    path(
        "cases/<slug:number>/causes/<int:pk>/accept/",
        diagnosis.hypothesis_accept,
        name="hypothesis-accept",
    ),
    path(
        "cases/<slug:number>/causes/<int:pk>/refute/",
        diagnosis.hypothesis_refute,
        name="hypothesis-refute",
    ),
    path(
        "cases/<slug:number>/causes/<int:pk>/take-back/",
        diagnosis.hypothesis_take_back,
        name="hypothesis-take-back",
    ),
]
