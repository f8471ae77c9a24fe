from importlib import import_module

from django.apps import AppConfig


class PlantConfig(AppConfig):
    name = "plant"
    verbose_name = "Register"

    def ready(self) -> None:
        from django.db.models.signals import post_migrate

        from plant import roles

        import_module("plant.config.checks")
        post_migrate.connect(roles.keep_groups, dispatch_uid="keep role groups")
