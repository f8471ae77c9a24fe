"""Many small changes in one transaction: each is done or refused for itself, or all of them."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import transaction

Item = TypeVar("Item")
Done = TypeVar("Done")


@transaction.atomic
def do_each(
    *,
    items: Sequence[Item],
    prepare: Callable[[], None],
    do: Callable[[Item], Done],
    refusals: tuple[type[Exception], ...],
    all_or_nothing: bool,
) -> list[Done | Exception]:
    """What each was done as, or why it was refused, in their order.

    `prepare` takes the locks in one order, so that two of these never wait for each other. With
    `all_or_nothing` one refusal undoes all, and the others are tried all the same, so that whoever
    asked hears of every refusal at once. Any other error undoes all and rises.
    """
    prepare()
    outcomes = [_try(item, do, refusals) for item in items]
    if all_or_nothing and any(isinstance(one, refusals) for one in outcomes):
        transaction.set_rollback(True)
    return outcomes


def _try(
    item: Item, do: Callable[[Item], Done], refusals: tuple[type[Exception], ...]
) -> Done | Exception:
    try:
        with transaction.atomic():
            return do(item)
    except refusals as refusal:
        return refusal
