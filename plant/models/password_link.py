"""A link for a new password that somebody asked for and that is still owed by mail."""

from django.db import models
from django.db.models.functions import Lower


class PasswordLink(models.Model):
    """Written whether or not anybody has this address, so that the answer tells nobody."""

    address = models.EmailField()
    # Scheme and host under which the site was asked, for the link in the mail.
    site = models.CharField(max_length=300)
    asked_at = models.DateTimeField()
    try_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(Lower("address"), name="one_password_link_per_address"),
        ]

    def __str__(self) -> str:
        return f"link for {self.address}"
