"""A person who signs in; sees only the plants they are assigned to."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.models import UserManager as DjangoUserManager
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _


class UserManager(DjangoUserManager["User"]):
    def get_by_natural_key(self, username: str | None) -> "User":
        """Telephones begin names with a capital; that is still the same person."""
        return self.get(username__iexact=username)


class User(AbstractUser):
    """Signs in by username, which is an e-mail address where the person has one."""

    display_name = models.CharField(_("name"), max_length=120, blank=True)
    plants = models.ManyToManyField(
        "plant.Plant", verbose_name=_("plants"), blank=True, related_name="people"
    )
    must_change_password = models.BooleanField(
        _("must choose a new password"), default=False, editable=False
    )

    objects: ClassVar[UserManager] = UserManager()

    class Meta(AbstractUser.Meta):
        ordering = ["username"]
        constraints = [
            models.UniqueConstraint(
                Lower("username"),
                name="one_user_per_name",
                violation_error_message=_("Somebody has this user name already."),
            ),
        ]

    def __str__(self) -> str:
        return self.display_name or self.username
