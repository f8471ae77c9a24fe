"""Addresses of the pages of mends under the word Trends."""

from django.urls import path

from workorders.views import mends

urlpatterns = [
    path("trends/mends/", mends.mends, name="mends"),
    path("trends/mends/list/", mends.mends_of_group, name="mends-of-group"),
    path("trends/mends/<slug:mends_table>.csv", mends.mends_file, name="mends-file"),
]
