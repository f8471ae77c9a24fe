"""Addresses of proposals for the outage sheet."""

from django.urls import path

from workorders.views import plan_runs, plan_taking

_RUN = "work/plan/runs/<int:pk>"

urlpatterns = [
    path("work/plan/", plan_runs.plan, name="plan"),
    path(f"{_RUN}/", plan_runs.run, name="plan-run"),
    path(f"{_RUN}/progress/", plan_runs.progress, name="plan-run-progress"),
    path(f"{_RUN}/stop/", plan_runs.stop, name="plan-run-stop"),
    path(f"{_RUN}/leave/", plan_taking.leave, name="plan-run-leave"),
    path(f"{_RUN}/take/", plan_taking.take, name="plan-run-take"),
    path(f"{_RUN}/back/", plan_taking.put_back, name="plan-run-back"),
    path("work/plan/<str:plant_code>/", plan_runs.plan_of, name="plan-of"),
]
