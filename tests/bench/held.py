"""How much memory this process has held."""

import resource
from pathlib import Path

_STATUS = Path("/proc/self/status")


def most_bytes() -> int:
    """The most it held so far.

    Linux counts in `ru_maxrss` what the parent held when it started this one, and the tests that
    ran before may have held much.
    """
    if _STATUS.exists():
        (peak,) = (one for one in _STATUS.read_text().splitlines() if one.startswith("VmHWM:"))
        return int(peak.split()[1]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
