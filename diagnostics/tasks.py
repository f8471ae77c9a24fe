"""Wake-ups for owed diagnoses, trials of drafts and reckonings of faults."""

from typing import Any

from celery import shared_task


@shared_task
def diagnose_owed_cases(*, case_id: int | None = None, **_later: Any) -> None:
    from diagnostics.services import diagnosing

    diagnosing.pay_owed(case_id=case_id)


@shared_task
def try_owed_drafts(**_later: Any) -> None:
    from diagnostics.services import knowledge_trying

    knowledge_trying.do_owed()


@shared_task
def reckon_owed_faults(**_later: Any) -> None:
    from diagnostics.services import fault_reckoning

    fault_reckoning.do_owed()
