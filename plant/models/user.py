"""A person who signs in; sees only the plants they are assigned to."""

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _


class User(AbstractUser):
    """Signs in by username, which is an e-mail address where the person has one."""

    display_name = models.CharField(_("name"), max_length=120, blank=True)
    plants = models.ManyToManyField(
        "plant.Plant", verbose_name=_("plants"), blank=True, related_name="people"
    )

    class Meta(AbstractUser.Meta):
        ordering = ["username"]

    def __str__(self) -> str:
        return self.display_name or self.username
