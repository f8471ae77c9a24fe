from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import storages
from django.core.management import call_command

from plant.config import settings as site_settings


@pytest.fixture
def collected(tmp_path: Path, settings: Any) -> Path:
    """Where nothing was collected yet, and one file that could be."""
    source = tmp_path / "source"
    source.mkdir()
    (source / "sign.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    # As a site has it; the other tests go without.
    settings.STORAGES = site_settings.STORAGES
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STATICFILES_DIRS = [source]
    settings.STATIC_ROOT = tmp_path / "collected"
    return tmp_path / "collected"


def _address_for_a_new_process(name: str) -> str:
    # Not the one kept by the process: the list is read when a storage is made.
    return str(storages.create_storage(storages.backends["staticfiles"]).url(name))


def test_pages_find_their_files_where_nothing_was_collected(collected: Path) -> None:
    assert _address_for_a_new_process("sign.svg") == "/static/sign.svg"


def test_pages_find_their_files_after_the_first_collecting_of_a_new_server(collected: Path) -> None:
    call_command("collectstatic", interactive=False, verbosity=0)

    address = _address_for_a_new_process("sign.svg")
    assert address.startswith("/static/sign.")
    assert address != "/static/sign.svg"
    # The list that settings.py looks for, to know that files were collected.
    assert (collected / "staticfiles.json").is_file()
    assert (collected / address.removeprefix("/static/")).is_file()
