import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from plant.config import secret_key

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "deep" / "data"
    monkeypatch.setenv("LOOPWRIGHT_DATA", str(folder))
    return folder


def test_key_is_made_once_and_kept_for_its_owner_only(data: Path):
    key = secret_key.key_kept_in_data_folder()

    assert len(key) >= 50
    assert secret_key.key_kept_in_data_folder() == key
    assert stat.S_IMODE((data / "secret-key").stat().st_mode) == 0o600
    assert [path.name for path in data.iterdir()] == ["secret-key"]


def test_processes_started_together_get_the_same_key(data: Path):
    code = "from plant.config.secret_key import key_kept_in_data_folder as key; print(key())"
    processes = [
        subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        for _ in range(4)
    ]

    keys = [process.communicate()[0].strip() for process in processes]

    assert keys == [(data / "secret-key").read_text()] * 4


def test_empty_file_is_given_a_key(data: Path):
    data.mkdir(parents=True)
    (data / "secret-key").touch()

    key = secret_key.key_kept_in_data_folder()

    assert len(key) >= 50
    assert secret_key.key_kept_in_data_folder() == key


def test_place_that_takes_no_file_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "file").touch()
    monkeypatch.setenv("LOOPWRIGHT_DATA", str(tmp_path / "file" / "data"))

    with pytest.raises(ImproperlyConfigured, match=r"file/data/secret-key.*or set SECRET_KEY"):
        secret_key.key_kept_in_data_folder()
