"""What a plant holds to be true of its belts, as numbered editions, and who changed what and why.

A plant without an edition goes by the files the site was installed with. An edition that has been
in force is never edited, only followed by another.
"""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.edition_states import EditionState
from plant.models.versioned import Versioned


class KnowledgeEdition(Versioned):
    """`version` counts the changes of a draft, so that nobody publishes what they have not seen."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="knowledge_editions")
    number = models.PositiveIntegerField(_("number"))
    state = models.CharField(
        _("state"),
        max_length=12,
        choices=[(state.value, _(state.value)) for state in EditionState],
        default=EditionState.DRAFT.value,
    )
    # The documents as the knowledge files state them, by file name; the digest is of their entries.
    contents = models.JSONField()
    digest = models.CharField(max_length=64)
    title = models.CharField(_("what it is about"), max_length=200, blank=True)
    # What was in force when it was begun; empty for the installed files.
    based_on = models.ForeignKey(
        "self", models.RESTRICT, null=True, blank=True, related_name="followed_by"
    )
    # What it is compared with, and what to show when the installed files have changed since.
    base_digest = models.CharField(max_length=64)
    drafted_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    drafted_at = models.DateTimeField(_("begun"))
    published_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    published_at = models.DateTimeField(_("published"), null=True, blank=True)
    published_why = models.CharField(_("why"), max_length=400, blank=True)
    # When another took its place, or it was discarded.
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-number"]
        permissions = [
            ("keep_knowledge", "May draft, edit and try knowledge"),
            ("publish_knowledge", "May put an edition of knowledge in force"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["plant", "number"], name="edition_number_once"),
            models.UniqueConstraint(
                "plant", condition=Q(state="in force"), name="one_edition_in_force_per_plant"
            ),
            models.UniqueConstraint(
                "plant", condition=Q(state="draft"), name="one_draft_edition_per_plant"
            ),
            models.CheckConstraint(
                condition=Q(published_at__isnull=False) | Q(state__in=["draft", "discarded"]),
                name="edition_in_force_was_published",
            ),
        ]

    def __str__(self) -> str:
        return _("edition %(number)d") % {"number": self.number}

    @property
    def version_text(self) -> str:
        """As a diagnosis keeps it."""
        return f"edition {self.number} ({self.digest[:12]})"

    @property
    def is_draft(self) -> bool:
        return self.state == EditionState.DRAFT.value


class KnowledgeChange(models.Model):
    """One entry that an edition has another way than the one before it; `before` null when new."""

    edition = models.ForeignKey(KnowledgeEdition, models.CASCADE, related_name="changes")
    # cause, rule, caution or work_method.
    kind = models.CharField(max_length=12)
    slug = models.CharField(max_length=60)
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    why = models.CharField(_("reason"), max_length=400)

    class Meta:
        ordering = ["kind", "slug"]
        constraints = [
            models.UniqueConstraint(
                fields=["edition", "kind", "slug"], name="entry_changed_once_per_edition"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.slug}"
