"""Addresses of files for the register."""

from django.urls import URLPattern, URLResolver, include, path

from plant.views import register_files, register_imports

_import: list[URLPattern | URLResolver] = [
    path("", register_imports.register_import, name="register-import"),
    path("progress/", register_imports.import_progress, name="register-import-progress"),
    path("apply/", register_imports.import_apply, name="register-import-apply"),
    path("stop/", register_imports.import_stop, name="register-import-stop"),
    path("again/", register_imports.import_again, name="register-import-again"),
    path("leave/", register_imports.import_leave, name="register-import-leave"),
]
urlpatterns = [
    path("", register_files.register_files, name="register-files"),
    path("template.xlsx", register_files.template_book, name="register-template"),
    path("template/<str:sheet>.csv", register_files.template_sheet, name="register-template-sheet"),
    path("sent/<int:pk>/", include(_import)),
    path("<str:plant_code>/register.xlsx", register_files.export_book, name="register-export"),
    path(
        "<str:plant_code>/<str:sheet>.csv",
        register_files.export_sheet,
        name="register-export-sheet",
    ),
]
