"""Addresses of campaigns and of two periods compared, under the word Trends."""

from django.urls import path

from workorders.views import before_after, campaigns

urlpatterns = [
    path("trends/campaigns/", campaigns.campaigns, name="campaigns"),
    path("trends/campaigns/new/<str:plant_code>/", campaigns.campaign_new, name="campaign-new"),
    path("trends/campaigns/<int:pk>/", before_after.campaign, name="campaign"),
    path("trends/campaigns/<int:pk>/change/", campaigns.campaign_change, name="campaign-change"),
    path("trends/campaigns/<int:pk>/remove/", campaigns.campaign_remove, name="campaign-remove"),
    path(
        "trends/campaigns/<int:pk>/<slug:campaign_table>.csv",
        before_after.campaign_file,
        name="campaign-file",
    ),
    path("trends/before-after/", before_after.periods, name="before-after"),
    path(
        "trends/before-after/<slug:campaign_table>.csv",
        before_after.periods_file,
        name="before-after-file",
    ),
]
