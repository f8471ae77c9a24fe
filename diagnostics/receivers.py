"""What diagnosis does when the register speaks; inside its transaction."""

from datetime import datetime
from typing import Any

from django.dispatch import receiver

from diagnostics.services import diagnosing
from plant import signals
from plant.models import Conveyor


@receiver(signals.register_changed, dispatch_uid="diagnose anew after a change of the register")
def diagnose_anew(conveyor: Conveyor, now: datetime, **_later: Any) -> None:
    diagnosing.owe_diagnoses_of(conveyor, now=now)
