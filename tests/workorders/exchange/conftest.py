from pathlib import Path
from typing import Any

import pytest

from plant.models import ExchangeSetting, Plant
from tests.workorders import factories
from tests.workorders.exchange_rows import set_up
from workorders.models import WorkOrder


@pytest.fixture
def root(tmp_path: Path, settings: Any) -> Path:
    settings.LOOPWRIGHT_EXCHANGE = str(tmp_path)
    return tmp_path


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = factories.make_conveyor(plant, tag="Q30")
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


@pytest.fixture
def setting(plant: Plant) -> ExchangeSetting:
    return set_up(plant, picks_up=True)
