"""Keys of outside systems: hashed, scoped, expiring, for one plant."""

from typing import ClassVar

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from rest_framework_api_key.models import AbstractAPIKey, APIKeyManager

from plant.models.versioned import Versioned


class ApiKeyManager(APIKeyManager):
    pass


class ApiKey(Versioned, AbstractAPIKey):
    """The name says which system holds it; the secret is shown once and kept as a digest.

    A key keeps its prefix for life. Its secret can be replaced: the former one then works beside
    the new one to a chosen instant, so that the other system need not be changed at once.
    """

    class Scope(models.TextChoices):
        WORK_ORDERS_READ = "work_orders:read", _("read work orders")
        WORK_ORDERS_WRITE = "work_orders:write", _("write work orders")
        COMPLAINTS_READ = "complaints:read", _("read complaints")
        COMPLAINTS_WRITE = "complaints:write", _("write complaints")
        CASES_READ = "cases:read", _("read cases")
        CASES_WRITE = "cases:write", _("write cases and findings")
        METERS_READ = "meters:read", _("read meter readings")
        METERS_WRITE = "meters:write", _("write meter readings")
        READINGS_READ = "readings:read", _("read condition readings")
        READINGS_WRITE = "readings:write", _("write condition readings")
        REGISTER_READ = "register:read", _("read the register")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="api_keys")
    # Whose words the key speaks; without a system it speaks ours.
    system = models.ForeignKey(
        "plant.ConnectedSystem",
        models.RESTRICT,
        null=True,
        blank=True,
        related_name="keys",
        verbose_name=_("system"),
    )
    scopes = ArrayField(
        models.CharField(max_length=40, choices=Scope.choices), verbose_name=_("may"), default=list
    )
    last_used_at = models.DateTimeField(_("last used"), null=True, blank=True, editable=False)
    made_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)
    # Null: as the site has it for keys that say nothing.
    requests_per_minute = models.PositiveIntegerField(_("requests a minute"), null=True, blank=True)
    former_hashed_key = models.CharField(max_length=150, blank=True, editable=False)
    former_until = models.DateTimeField(null=True, blank=True, editable=False)
    former_used_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects: ClassVar[ApiKeyManager] = ApiKeyManager()

    class Meta:
        ordering = ("-created",)
        verbose_name = _("API key")
        verbose_name_plural = _("API keys")

    def scope_words(self) -> list[str | Promise]:
        return [self.Scope(scope).label for scope in self.scopes]
