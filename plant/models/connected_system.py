"""Outside systems that keys, messages and files belong to, and the words each of them uses.

A wording is kept as plain entries, one a word, so that every change of it is a list of entries with
old and new, and going back is the same list read the other way round.
"""

from django.db import models
from django.utils.translation import gettext_lazy as _

from plant.models.versioned import Versioned


class ConnectedSystem(Versioned):
    """While `is_on`, what goes to it and comes from it is in its own words."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="connected_systems")
    name = models.CharField(_("name"), max_length=80)
    is_on = models.BooleanField(_("speaks its own words"), default=False)
    # What has no word is refused or held back, rather than told in our words.
    is_strict = models.BooleanField(_("nothing without a word"), default=False)
    note = models.CharField(_("note"), max_length=400, blank=True)
    made_at = models.DateTimeField(editable=False)
    made_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["plant", "name"], name="one_system_of_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class WordingEntry(models.Model):
    """One word: `key` is ours (of an added field: its name), `value` what the system has for it.

    Asset tags belong to a conveyor, whose own tag may change; `key` is a component's name there,
    or empty for the conveyor itself.
    """

    system = models.ForeignKey(ConnectedSystem, models.CASCADE, related_name="entries")
    part = models.CharField(max_length=48)
    conveyor = models.ForeignKey("plant.Conveyor", models.CASCADE, null=True, related_name="+")
    key = models.CharField(max_length=120, blank=True)
    value = models.CharField(max_length=200)
    # Of several words of ours with one of theirs, the one that is meant when it comes in.
    is_preferred = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["system", "part", "key"],
                condition=models.Q(conveyor__isnull=True),
                name="one_value_of_a_word",
            ),
            models.UniqueConstraint(
                fields=["system", "part", "conveyor", "key"],
                condition=models.Q(conveyor__isnull=False),
                name="one_asset_tag_of_a_place",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.key} = {self.value}"


class WordingChange(models.Model):
    """What somebody changed at once; `entries` are written by services/wordings.py alone."""

    class Kind(models.TextChoices):
        MADE = "made", _("system added")
        SETTINGS = "settings", _("settings changed")
        WORDS = "words", _("words changed")
        TAGS = "tags", _("asset tags changed")
        TAG_FILE = "tag_file", _("asset tags taken from a file")
        FIELDS = "fields", _("fields changed")
        BACK = "back", _("gone back to an earlier state")

    system = models.ForeignKey(ConnectedSystem, models.CASCADE, related_name="changes")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=12, choices=Kind.choices)
    # Of going back: the number of the change whose state it is again.
    to_number = models.PositiveIntegerField(null=True)
    entries = models.JSONField(default=list)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["system", "number"], name="one_change_of_a_number"),
        ]

    def __str__(self) -> str:
        return f"{self.system_id}: {self.number}"


class WordingGap(models.Model):
    """A word that was met and had no answer: how often, and when last."""

    class Way(models.TextChoices):
        OUT = "out", _("going out")
        IN = "in", _("coming in")

    system = models.ForeignKey(ConnectedSystem, models.CASCADE, related_name="gaps")
    way = models.CharField(max_length=3, choices=Way.choices)
    part = models.CharField(max_length=48)
    word = models.CharField(max_length=200)
    times = models.PositiveIntegerField(default=1)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()

    class Meta:
        ordering = ["-last_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["system", "way", "part", "word"], name="one_gap_of_a_word"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.way} {self.part}: {self.word}"
