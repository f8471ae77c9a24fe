"""Trials of drafts in a process of its own, as the worker does them: time and memory."""

import json
import sys
import time


def main(database: str) -> None:
    import django

    django.setup()
    from django.db import connection

    from diagnostics.services import knowledge_trying
    from tests.bench import held

    connection.settings_dict["NAME"] = database
    started, busy = time.monotonic(), time.process_time()
    assert knowledge_trying.do_owed() == 1
    took_s, busy_s = time.monotonic() - started, time.process_time() - busy
    print(
        json.dumps({"seconds": took_s, "busy_seconds": busy_s, "peak_mb": held.most_bytes() / 1e6})
    )


if __name__ == "__main__":
    main(sys.argv[1])
