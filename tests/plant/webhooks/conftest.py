from collections.abc import Iterator

import pytest

from plant.models import Conveyor, Plant
from tests.plant import factories
from tests.plant.webhooks.names import Names, faked
from tests.plant.webhooks.receiver import Receiver, receiving
from tests.plant.webhooks.targets import LOOPBACK


@pytest.fixture
def receiver(settings) -> Iterator[Receiver]:
    settings.WEBHOOK_PRIVATE_TARGETS = LOOPBACK
    with receiving() as found:
        yield found


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return factories.make_conveyor(plant)


@pytest.fixture
def names(monkeypatch: pytest.MonkeyPatch) -> Names:
    return faked(monkeypatch)
