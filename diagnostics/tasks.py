"""Wake-ups for owed diagnoses."""

from typing import Any

from celery import shared_task


@shared_task
def diagnose_owed_cases(*, case_id: int | None = None, **_later: Any) -> None:
    from diagnostics.services import diagnosing

    diagnosing.pay_owed(case_id=case_id)
