"""What a POST of another system was answered, kept for the same POST sent again."""

from django.db import models


class ApiAnswer(models.Model):
    key = models.ForeignKey("plant.ApiKey", models.CASCADE, related_name="+")
    # As the other system chose it; see plant/services/idempotency.py for what may be one.
    idempotency_key = models.CharField(max_length=255)
    # Digest of method, address and body: the same key for anything else is a mistake of theirs.
    asked = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField()
    body = models.TextField()
    headers = models.JSONField(default=dict)
    made_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["key", "idempotency_key"], name="one_answer_per_idempotency_key"
            )
        ]

    def __str__(self) -> str:
        return f"{self.status} for {self.idempotency_key}"
