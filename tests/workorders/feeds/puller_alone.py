"""A puller that keeps what it was told before it keeps how far it is, so that it may die anywhere.

Run as `puller_alone SITE SECRET FOLDER`. Each change becomes a line of FOLDER/told.
"""

import http.client
import json
import os
import sys
import time
import urllib.request
from pathlib import Path


def pull(site: str, secret: str, folder: Path) -> None:
    kept, told = folder / "cursor", folder / "told"
    after = kept.read_text() if kept.exists() else ""
    with told.open("a") as lines:
        # What a kill cut off in the middle of a line comes again, on a line of its own.
        lines.write("\n")
        while True:
            answer = _ask(
                f"{site}/api/v1/work-orders/changes?limit=50&wait=2&after={after}", secret
            )
            for change in answer["results"]:
                lines.write(json.dumps(change) + "\n")
            lines.flush()
            os.fsync(lines.fileno())
            after = answer["next"]
            kept.with_suffix(".new").write_text(after)
            kept.with_suffix(".new").replace(kept)


def _ask(address: str, secret: str) -> dict:
    request = urllib.request.Request(address, headers={"Authorization": f"Api-Key {secret}"})
    while True:
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                return json.load(answer)
        except (OSError, http.client.HTTPException):
            time.sleep(0.2)


if __name__ == "__main__":
    pull(sys.argv[1], sys.argv[2], Path(sys.argv[3]))
