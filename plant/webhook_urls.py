"""Addresses of the pages of webhooks."""

from django.urls import path

from plant.views import webhook_deliveries as deliveries
from plant.views import webhooks

urlpatterns = [
    path("webhooks/", webhooks.webhooks, name="webhooks"),
    path("webhooks/new/", webhooks.webhook_new, name="webhook-new"),
    path("webhooks/<int:pk>/", webhooks.webhook, name="webhook"),
    path("webhooks/<int:pk>/change/", webhooks.webhook_change, name="webhook-change"),
    path("webhooks/<int:pk>/secret/", webhooks.webhook_secret, name="webhook-secret"),
    path("webhooks/<int:pk>/try/", webhooks.webhook_try, name="webhook-try"),
    path("webhooks/<int:pk>/pause/", webhooks.webhook_pause, name="webhook-pause"),
    path("webhooks/<int:pk>/resume/", webhooks.webhook_resume, name="webhook-resume"),
    path("webhooks/<int:pk>/delete/", webhooks.webhook_delete, name="webhook-delete"),
    path("webhooks/<int:pk>/send-again/", deliveries.send_all_again, name="webhook-send-again"),
    path("webhooks/<int:pk>/give-up/", deliveries.give_up_all, name="webhook-give-up"),
    path("webhooks/deliveries/<int:pk>/", deliveries.delivery, name="webhook-delivery"),
    path(
        "webhooks/deliveries/<int:pk>/send-again/",
        deliveries.send_again,
        name="webhook-delivery-send-again",
    ),
    path(
        "webhooks/deliveries/<int:pk>/give-up/",
        deliveries.give_up,
        name="webhook-delivery-give-up",
    ),
]
