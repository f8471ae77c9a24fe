"""What happened to an order: moves between states, other changes, notes. Rows are only added.

A note can be corrected or taken back by who wrote it; what it said before stays with it.
"""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.utils.translation import gettext_lazy as _

from plant.models.acting_key import acting_key_name
from plant.models.versioned import Versioned
from workorders.models.work_order import WorkOrder
from workorders.order_states import OrderState
from workorders.order_words import STATE_WORDS, Words


class OrderMove(models.Model):
    """Who moved an order between states, when and why."""

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="moves")
    from_state = models.CharField(max_length=12, blank=True)
    to_state = models.CharField(max_length=12)
    # For a move to scheduled: the time that was chosen then.
    planned_for = models.DateTimeField(null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")
    # The name of another system, where no person stands behind it.
    by_key = models.CharField(max_length=60, blank=True, default=acting_key_name, editable=False)
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.from_state} to {self.to_state}"

    @property
    def who(self) -> str:
        """The person or the other system; empty for the site itself."""
        return str(self.by) if self.by else self.by_key

    @property
    def to_words(self) -> Words:
        return STATE_WORDS[OrderState(self.to_state)]


class OrderChange(models.Model):
    """A change that is no move: the order waits, is more urgent, is planned for another day."""

    class Kind(models.TextChoices):
        WAITING = "waiting", _("waiting")
        NO_LONGER_WAITING = "no_longer_waiting", _("no longer waiting")
        URGENCY = "urgency", _("urgency")
        PLANNED_FOR = "planned_for", _("planned for")
        STEP_UNTICKED = "step_unticked", _("step not done after all")
        EDITED = "edited", _("edited")
        JUDGED_AGAIN = "judged_again", _("judged again")
        ADOPTED = "adopted", _("stands for an accepted cause")
        LESS_SURE = "less_sure", _("less sure")
        SURE_AGAIN = "sure_again", _("sure again")
        TIME_CORRECTED = "time_corrected", _("booked time corrected")
        TIME_TAKEN_BACK = "time_taken_back", _("booked time taken back")
        SPLIT = "split", _("split")
        SPLIT_OFF = "split_off", _("split off")
        MERGED = "merged", _("merged")
        UNMERGED = "unmerged", _("merged no longer")
        NOTE_CORRECTED = "note_corrected", _("note corrected")
        NOTE_TAKEN_BACK = "note_taken_back", _("note taken back")
        NOTE_PUT_BACK = "note_put_back", _("note put back")
        PHOTO_TAKEN_BACK = "photo_taken_back", _("photo taken back")
        PHOTO_PUT_BACK = "photo_put_back", _("photo put back")
        LINKED = "linked", _("waits for an order")
        UNLINKED = "unlinked", _("waits for an order no longer")
        TIME_PUT_BACK = "time_put_back", _("booked time put back")

    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="changes")
    kind = models.CharField(max_length=20, choices=Kind.choices)
    # Wire words or ISO times, empty where the kind has none; shown in words by the page.
    before = models.CharField(max_length=400, blank=True)
    after = models.CharField(max_length=400, blank=True)
    why = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")
    by_key = models.CharField(max_length=60, blank=True, default=acting_key_name, editable=False)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.kind}: {self.before} to {self.after}"

    @property
    def who(self) -> str:
        """The person or the other system; empty for the site itself."""
        return str(self.by) if self.by else self.by_key


class OrderNote(Versioned):
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="notes")
    words = models.TextField(_("note"), max_length=2000)
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")
    by_key = models.CharField(max_length=60, blank=True, default=acting_key_name, editable=False)
    # What it said before it was corrected, oldest first.
    earlier = ArrayField(models.TextField(), default=list, blank=True)
    corrected_at = models.DateTimeField(null=True, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.words[:60]

    @property
    def who(self) -> str:
        """The person or the other system; empty for the site itself."""
        return str(self.by) if self.by else self.by_key
