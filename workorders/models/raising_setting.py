"""When the site proposes work by itself: a plant's setting, a row each time somebody set it."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from workorders.order_words import URGENCY_WORDS
from workorders.urgency import Urgency

# Below even odds the site would propose work on what is probably not the cause.
LEAST_PROBABILITY, MOST_PROBABILITY = 0.5, 0.99
USUAL_PROBABILITY = 0.9


class RaisingSetting(models.Model):
    """The newest row of a plant counts; without one nothing is raised."""

    plant = models.ForeignKey("plant.Plant", models.CASCADE, related_name="raising_settings")
    is_on = models.BooleanField(_("raise work by itself"), default=False)
    probability = models.FloatField(
        _("from this probability on"),
        default=USUAL_PROBABILITY,
        validators=[MinValueValidator(LEAST_PROBABILITY), MaxValueValidator(MOST_PROBABILITY)],
    )
    least_urgency = models.CharField(
        _("when it is at least"),
        max_length=12,
        choices=[(one.value, words) for one, words in URGENCY_WORDS.items()],
        default=Urgency.NEXT_OUTAGE.value,
    )
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        "plant.User", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(probability__gte=LEAST_PROBABILITY, probability__lte=MOST_PROBABILITY),
                name="raising_probability_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plant_id}: {'on' if self.is_on else 'off'} from {self.probability:g}"
