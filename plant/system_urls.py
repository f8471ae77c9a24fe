"""Addresses of connected systems and their words."""

from django.urls import path

from plant.views import system_history, system_tag_file, system_tags, system_words, systems

urlpatterns = [
    path("systems/", systems.systems, name="systems"),
    path("systems/new/", systems.system_new, name="system-new"),
    path("systems/<int:pk>/", systems.system, name="system"),
    path("systems/<int:pk>/settings/", systems.system_settings, name="system-settings"),
    path("systems/<int:pk>/remove/", systems.system_remove, name="system-remove"),
    path(
        "systems/<int:pk>/words/<slug:vocabulary>/", system_words.system_words, name="system-words"
    ),
    path(
        "systems/<int:pk>/fields/<slug:record_kind>/",
        system_words.system_fields,
        name="system-fields",
    ),
    path("systems/<int:pk>/preview/", system_words.system_preview, name="system-preview"),
    path("systems/<int:pk>/tags/", system_tags.system_tags, name="system-tags"),
    path("systems/<int:pk>/tags.csv", system_tags.system_tags_csv, name="system-tags-csv"),
    path("systems/<int:pk>/tags/file/", system_tag_file.system_tag_file, name="system-tag-file"),
    path(
        "systems/<int:pk>/tags/file/take/",
        system_tag_file.system_tag_file_take,
        name="system-tag-file-take",
    ),
    path("systems/<int:pk>/tags/of/<str:tag>/", system_tags.system_tags_of, name="system-tags-of"),
    path("systems/<int:pk>/history/", system_history.system_history, name="system-history"),
    path("systems/<int:pk>/history/<int:place>/", system_history.system_back, name="system-back"),
]
