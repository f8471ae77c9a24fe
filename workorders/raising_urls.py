"""Addresses of how work is raised: from a finding, by a plant's setting."""

from django.urls import path

from workorders.views import judging_again, raising_from, raising_setting

urlpatterns = [
    path("work/by-itself/", raising_setting.raising_by_itself, name="raising-by-itself"),
    path("work/by-itself/<slug:code>/", raising_setting.raising_set, name="raising-set"),
    path(
        "work/<order_number:number>/judge-again/",
        judging_again.order_judge_again,
        name="order-judge-again",
    ),
    path(
        "work/from-finding/<int:pk>/",
        raising_from.finding_raise_order,
        name="finding-raise-order",
    ),
]
