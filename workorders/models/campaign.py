"""A campaign: work on several belts within a few days, whose effect somebody wants to know."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _

from diagnostics.class_words import CLASS_WORDS
from plant.days import check_day
from plant.models.versioned import Versioned


class Campaign(Versioned):
    """On the belts named, else on those of the area, else on all belts of the plant."""

    class Chosen(models.TextChoices):
        WORST = "worst", _("because they were the worst")
        ALL = "all", _("all of a kind or area, whatever their record")
        OTHER = "other", _("for another reason")

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="campaigns")
    name = models.CharField(_("name"), max_length=120)
    began_on = models.DateField(_("first day"), validators=[check_day])
    ended_on = models.DateField(_("last day"), validators=[check_day])
    area = models.CharField(_("area"), max_length=80, blank=True)
    conveyors = models.ManyToManyField(
        "plant.Conveyor", verbose_name=_("conveyors"), blank=True, related_name="campaigns"
    )
    family = models.CharField(
        _("cause family"),
        max_length=32,
        blank=True,
        choices=[(one.value, words) for one, words in CLASS_WORDS.items()],
    )
    # What a fair comparison must know: the worst get better by themselves.
    chosen = models.CharField(
        _("belts were chosen"), max_length=8, choices=Chosen, default=Chosen.WORST
    )
    note = models.TextField(_("what was done"), max_length=2000, blank=True)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-began_on", "-pk"]
        constraints = [
            models.UniqueConstraint("plant", Upper("name"), name="one_campaign_per_name_and_plant"),
            models.CheckConstraint(
                condition=Q(began_on__lte=F("ended_on")), name="campaign_days_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.began_on})"
