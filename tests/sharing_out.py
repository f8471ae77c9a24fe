"""How tests are shared among processes: whole files.

What a file makes once (the world of every page, the invented plants) is then made once, and not
once a process. An option of pytest-xdist would do as much and switch the benchmarks off.
"""

from typing import Any

import pytest


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    from xdist.scheduler import LoadFileScheduling

    return LoadFileScheduling(config, log)
