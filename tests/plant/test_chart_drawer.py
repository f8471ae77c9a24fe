"""The program that draws charts in a browser: made once, served, collected and packed."""

import gzip
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.test import Client

from plant import chart_drawer


@pytest.fixture
def fresh(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A data folder without it, whose making only costs what it must."""
    monkeypatch.setenv("LOOPWRIGHT_DATA", str(tmp_path))
    chart_drawer.made_file.cache_clear()
    yield tmp_path
    chart_drawer.made_file.cache_clear()


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """What was started, without the time it takes."""
    started: list[list[str]] = []

    def run(command: list[str], **_options: object) -> subprocess.CompletedProcess[bytes]:
        started.append(command)
        return subprocess.CompletedProcess(command, 0, stdout=b"export {draw};" * 500)

    monkeypatch.setattr(chart_drawer.subprocess, "run", run)
    return started


def test_the_program_is_there_and_offers_what_draws() -> None:
    path = finders.find(chart_drawer.ADDRESS)

    assert isinstance(path, str)
    program = Path(path).read_text(encoding="utf-8")
    assert re.search(r"export\s*\{\S+ as draw\}", program)
    assert len(program) > 500_000


def test_it_is_made_once_by_a_process_of_its_own(fresh: Path, runs: list[list[str]]) -> None:
    first = chart_drawer.made_file()
    chart_drawer.made_file.cache_clear()

    assert chart_drawer.made_file() == first
    assert first.is_relative_to(fresh)
    assert len(runs) == 1
    assert [one.name for one in first.parent.iterdir()] == ["drawer.js"]


def test_a_program_that_cannot_be_made_leaves_nothing_half_written(
    fresh: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(command: list[str], **_options: object) -> None:
        raise subprocess.CalledProcessError(1, command)

    monkeypatch.setattr(chart_drawer.subprocess, "run", fail)

    with pytest.raises(subprocess.CalledProcessError):
        chart_drawer.made_file()
    assert not [one for one in fresh.rglob("*") if one.is_file()]


@pytest.mark.usefixtures("fresh", "runs")
def test_it_is_packed_beside_itself() -> None:
    packed = chart_drawer.packed_file()

    assert gzip.decompress(packed.read_bytes()) == chart_drawer.made_file().read_bytes()


def test_a_site_without_collected_files_serves_it_packed() -> None:
    answer = Client().get(f"/static/{chart_drawer.ADDRESS}", headers={"accept-encoding": "gzip"})

    assert answer.status_code == 200
    assert answer["Content-Encoding"] == "gzip"
    assert answer["Content-Type"].startswith("text/javascript")
    # What a page may cost a telephone whose owner asked for it.
    assert int(answer["Content-Length"]) < 330_000


@pytest.mark.usefixtures("fresh", "runs")
def test_collecting_names_it_by_its_content(tmp_path: Path, settings: SimpleNamespace) -> None:
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
    }

    # Of all that is collected this alone, and little of it: packing takes its time.
    settings.STATICFILES_FINDERS = ["plant.chart_drawer.ChartDrawerFinder"]

    call_command("collectstatic", interactive=False, verbosity=0)

    names = {one.name for one in (tmp_path / "plant" / "charts").iterdir()}
    hashed = [one for one in names if re.fullmatch(r"drawer\.[0-9a-f]{12}\.js", one)]
    assert len(hashed) == 1
    assert {f"{hashed[0]}.gz", f"{hashed[0]}.br"} <= names
