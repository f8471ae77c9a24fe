"""Addresses of notes from the field."""

from django.urls import path

from diagnostics.views import field_note_files, field_notes, walk_notes

urlpatterns = [
    path("knowledge/notes/", field_notes.field_notes, name="field-notes"),
    path("knowledge/notes/new/", field_notes.field_note_new, name="field-note-new"),
    path("knowledge/notes/<int:pk>/", field_notes.field_note, name="field-note"),
    path("knowledge/notes/<int:pk>/edit/", field_notes.field_note_edit, name="field-note-edit"),
    path(
        "knowledge/notes/<int:pk>/no-longer/",
        field_notes.field_note_no_longer,
        name="field-note-no-longer",
    ),
    path("knowledge/notes/<int:pk>/holds/", field_notes.field_note_holds, name="field-note-holds"),
    path(
        "knowledge/notes/<int:pk>/counts/", field_notes.field_note_counts, name="field-note-counts"
    ),
    path("knowledge/note-photos/<int:pk>/", field_note_files.note_photo, name="note-photo"),
    path(
        "knowledge/note-photos/<int:pk>/small/",
        field_note_files.note_photo_small,
        name="note-photo-small",
    ),
    path("walk-downs/<int:pk>/note/", walk_notes.walk_down_note, name="walk-down-note"),
]
