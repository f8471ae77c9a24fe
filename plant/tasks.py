"""Wake-ups: each is one call of a service, safe to run twice."""

from typing import Any

from celery import shared_task


@shared_task
def do_what_is_owed(**_later: Any) -> None:
    from plant import owed

    owed.run_all()


@shared_task
def send_what_is_owed(**_later: Any) -> None:
    from plant import owed

    owed.run_sending()
