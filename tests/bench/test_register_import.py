"""50,000 components out of one file: under a minute and under 500 MB, workbook or text."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from plant.models import Component, Plant
from plant.roles import Role
from tests.bench.importing_alone import table_of
from tests.plant.factories import make_person, make_plant
from tests.plant.register_files.hostile import workbook
from tests.plant.register_files.imports import take_in

ROOT = Path(__file__).parents[2]
COMPONENTS = 50_000
MOST_S, MOST_MB = 60.0, 500.0


def _file_of(kind: str, folder: Path) -> Path:
    text = table_of(COMPONENTS)[1]
    path = folder / f"idlers.{kind}"
    if kind == "xlsx":
        rows = [line.split(",") for line in text.decode().split("\n")]
        figures = [[*row[:4], float(row[4]), float(row[5]), row[6]] for row in rows[1:]]
        text = workbook([rows[0], *figures])
    path.write_bytes(text)
    return path


def _taken_in(kind: str, folder: Path) -> tuple[Plant, dict[str, float]]:
    plant = make_plant()
    by = make_person(Role.PLANNER, plants=[plant])
    take_in(plant, by, table_of(COMPONENTS)[0])
    database = str(connection.settings_dict["NAME"])
    told = [database, str(plant.pk), str(by.pk), str(_file_of(kind, folder))]
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.importing_alone", *told],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "plant.config.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return plant, json.loads(done.stdout.splitlines()[-1])


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_fifty_thousand_components_come_in_within_500_mb(kind: str, tmp_path: Path):
    plant, took = _taken_in(kind, tmp_path)

    assert Component.objects.filter(conveyor__plant=plant).count() == COMPONENTS
    assert took["peak_mb"] < MOST_MB


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_fifty_thousand_components_take(kind: str, tmp_path: Path, capsys: Any):
    _plant, took = _taken_in(kind, tmp_path)

    with capsys.disabled():
        print(
            f"\n{COMPONENTS} components, {kind}: read in {took['read_s']:.1f} s, all in "
            f"{took['all_s']:.1f} s of {MOST_S:.0f}, {took['peak_mb']:.0f} MB of {MOST_MB:.0f}"
        )
