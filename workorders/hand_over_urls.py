"""Addresses of the hand-over between shifts and of reminders."""

from django.urls import path

from workorders.views import hand_over, reminders

urlpatterns = [
    path("work/hand-over/", hand_over.hand_over, name="hand-over"),
    path("work/hand-over/<str:plant_code>/", hand_over.hand_over_of, name="hand-over-of"),
    path("work/hand-over/<str:plant_code>/write/", hand_over.write, name="hand-over-write"),
    path("work/hand-over/notes/<int:pk>/taken-over/", hand_over.take_over, name="hand-over-note"),
    path("work/hand-over/notes/<int:pk>/back/", hand_over.take_back, name="hand-over-note-back"),
    path("work/reminders/<str:plant_code>/", reminders.reminders, name="reminders"),
]
