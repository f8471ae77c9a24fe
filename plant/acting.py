"""Who changes the register, told to the database so that its triggers write it down.

Pages and the API say it for every request that may write; what acts without saying so (commands,
the worker on its own account) is the system.
"""

from contextlib import AbstractContextManager
from typing import Any

import pghistory

from plant.models import ApiKey, ExchangeSetting, User


def request_begins() -> AbstractContextManager[Any]:
    """Until it ends, whatever is written is by whom `by_person` or `by_key` names."""
    return pghistory.context()


def by_person(person: User) -> AbstractContextManager[Any]:
    """For a request that began, a statement; anywhere else, a `with` block."""
    # The name as it is now: people leave, and what they did stays theirs.
    return pghistory.context(person=person.pk, name=str(person))


def by_key(key: ApiKey) -> AbstractContextManager[Any]:
    return pghistory.context(key=key.prefix, name=key.name)


def by_files(setting: ExchangeSetting) -> AbstractContextManager[Any]:
    """What a system says in files; its own mark stands where a key's prefix does."""
    return pghistory.context(key=setting.acts_as, name=setting.name)
