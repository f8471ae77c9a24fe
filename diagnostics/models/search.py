"""What the search looks through: one row an entry of knowledge or a case, its words weighed.

Derived from other rows and files, and made anew from them at any time; nothing else lives here.
"""

from django.contrib.postgres.indexes import GinIndex, GistIndex, OpClass
from django.contrib.postgres.search import SearchVector, SearchVectorField
from django.db import models
from django.db.models import Q
from django.db.models.functions import Now
from django.utils.translation import gettext_lazy as _

# Made by a migration: English endings cut, accents folded, no word left out.
CONFIG = "loopwright_words"


class SearchKind(models.TextChoices):
    CAUSE = "cause", _("causes")
    METHOD = "method", _("work methods")
    RULE = "rule", _("rules")
    CASE = "case", _("past cases")
    NOTE = "note", _("notes from the field")


class SearchShelf(models.Model):
    """One version of knowledge whose entries are in the search, whoever goes by it."""

    version = models.CharField(max_length=120, unique=True)
    filled_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.version


class SearchEntry(models.Model):
    kind = models.CharField(max_length=8, choices=SearchKind.choices)
    shelf = models.ForeignKey(
        SearchShelf, models.CASCADE, null=True, blank=True, related_name="entries"
    )
    plant = models.ForeignKey(
        "plant.Plant", models.CASCADE, null=True, blank=True, related_name="+"
    )
    case = models.OneToOneField(
        "diagnostics.Case", models.CASCADE, null=True, blank=True, related_name="+"
    )
    # Kept by a trigger of the note, at once: a note is one short text.
    note = models.OneToOneField(
        "diagnostics.FieldNote", models.CASCADE, null=True, blank=True, related_name="+"
    )
    # A slug; of a case its number, of a note its key.
    key = models.CharField(max_length=80)
    title = models.TextField()
    # What is said and shown; what is done, and by the way.
    says = models.TextField(blank=True)
    more = models.TextField(blank=True)
    words = models.GeneratedField(
        expression=SearchVector("title", weight="A", config=CONFIG)
        + SearchVector("says", weight="B", config=CONFIG)
        + SearchVector("more", weight="C", config=CONFIG),
        output_field=SearchVectorField(),
        db_persist=True,
    )

    class Meta:
        verbose_name_plural = "search entries"
        constraints = [
            models.UniqueConstraint(
                fields=["shelf", "kind", "key"], name="knowledge_is_searched_once"
            ),
            models.CheckConstraint(
                name="searched_is_of_one_kind",
                condition=Q(kind=SearchKind.CASE.value, case__isnull=False)
                & Q(shelf=None, note=None, plant__isnull=False)
                | Q(kind=SearchKind.NOTE.value, note__isnull=False)
                & Q(shelf=None, case=None, plant__isnull=False)
                | ~Q(kind__in=[SearchKind.CASE.value, SearchKind.NOTE.value])
                & Q(shelf__isnull=False, case=None, note=None, plant=None),
            ),
        ]
        indexes = [GinIndex(fields=["words"], name="search_words")]

    def __str__(self) -> str:
        return self.title


class SearchWord(models.Model):
    """A word that stands somewhere, for typing errors; of knowledge or of a plant's cases."""

    shelf = models.ForeignKey(SearchShelf, models.CASCADE, null=True, related_name="+")
    plant = models.ForeignKey("plant.Plant", models.CASCADE, null=True, related_name="+")
    word = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shelf", "plant", "word"], name="word_kept_once", nulls_distinct=False
            ),
        ]
        indexes = [
            GistIndex(OpClass("word", name="gist_trgm_ops"), name="search_word_like"),
        ]

    def __str__(self) -> str:
        return self.word


class SearchOwed(models.Model):
    """A case whose texts have changed; written by triggers, cleared by whoever reads them anew.

    A row for every change, so that none waits for another; no foreign key, so that one may outlive
    its case.
    """

    case_id = models.BigIntegerField()
    owed_at = models.DateTimeField(db_default=Now())

    class Meta:
        verbose_name_plural = "search owed"

    def __str__(self) -> str:
        return str(self.case_id)
