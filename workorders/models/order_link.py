"""An order that cannot begin before another one is done."""

from django.db import models
from django.db.models import F, Q

from workorders.models.work_order import WorkOrder


class OrderLink(models.Model):
    order = models.ForeignKey(WorkOrder, models.CASCADE, related_name="waits_for")
    after = models.ForeignKey(WorkOrder, models.CASCADE, related_name="lets_begin")
    at = models.DateTimeField()
    by = models.ForeignKey("plant.User", models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["order", "after"], name="one_link_between_orders"),
            models.CheckConstraint(
                condition=~Q(order=F("after")), name="no_order_waits_for_itself"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id} after {self.after_id}"
