"""What was done to a belt: when, by whom, and how its splices and marks stood before and after."""

from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.loop.belt_operations import WorkKind

WORK_WORDS: dict[WorkKind, str | Promise] = {
    WorkKind.FITTED: _("fitted"),
    WorkKind.SPLICED: _("new splice"),
    WorkKind.REFERENCE: _("positions counted from another splice"),
    WorkKind.CUT_OUT: _("section cut out"),
    WorkKind.PUT_IN: _("section put in"),
    WorkKind.TURNED: _("turned"),
    WorkKind.TAKEN_OFF: _("taken off"),
    WorkKind.PUT_BACK: _("put back"),
}


class BeltWork(models.Model):
    """Never changed, only undone."""

    belt = models.ForeignKey("plant.Belt", models.CASCADE, related_name="works")
    kind = models.CharField(
        _("work"), max_length=20, choices=[(kind.value, WORK_WORDS[kind]) for kind in WorkKind]
    )
    done_on = models.DateField(_("done"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    # The figures that were asked for, by the names of the operation's fields.
    figures = models.JSONField(default=dict)
    # The belting (see plant/selectors/belting.py); empty where nothing on the belt moved.
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey("plant.User", models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-kept_at", "-pk"]

    def __str__(self) -> str:
        return self.get_kind_display()
