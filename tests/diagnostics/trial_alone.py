"""Trials of drafts done by a process of its own, as a worker does them; it can be killed."""

import sys
import time
from typing import Any


def main(database: str) -> None:
    import django

    django.setup()
    from django.db import connection

    from diagnostics.inference import trial as pure
    from diagnostics.services import knowledge_trying, trial_work
    from plant.services import claiming

    connection.settings_dict["NAME"] = database
    pure.BATCH, claiming.EVERY_S = 1, 0.0
    tick = trial_work.Progress.__call__

    def tell_and_hang(self: Any, done: int) -> bool:
        goes_on = tick(self, done)
        print(done, flush=True)
        time.sleep(600)
        return goes_on

    trial_work.Progress.__call__ = tell_and_hang
    knowledge_trying.do_owed()


if __name__ == "__main__":
    main(sys.argv[1])
