"""A register file taken in by a process of its own, as the worker does it: time and memory."""

import json
import sys
import time
from pathlib import Path

from tests.bench import held


def table_of(components: int, *, conveyors: int = 100) -> tuple[bytes, bytes]:
    """Conveyors, and components evenly on them, as two tables."""
    heads = ["Tag,Name,Belt speed [m/s],Centre distance [m]"]
    heads += [f"CV-{number},Conveyor {number},2.5,900" for number in range(conveyors)]
    rows = ["Conveyor,Name,Kind,Run,Loop position [m],Spacing [m],Note"]
    each = components // conveyors
    for number in range(conveyors):
        rows += [
            f"CV-{number},C{place},troughing idlers,carrying,{1 + place * 1.2:.3f},1.2,set {place}"
            for place in range(each)
        ]
    return "\n".join(heads).encode(), "\n".join(rows).encode()


def main(database: str, plant_pk: int, person_pk: int, path: str) -> None:
    import django

    django.setup()
    from django.db import connection
    from django.utils import timezone

    from plant.models import Plant, RegisterImport, User
    from plant.services import importing

    connection.settings_dict["NAME"] = database
    plant, by = Plant.objects.get(pk=plant_pk), User.objects.get(pk=person_pk)
    content = Path(path).read_bytes()
    started = time.monotonic()
    one = importing.take_in_file(
        plant=plant, name="idlers", content=content, sheet="", by=by, now=timezone.now()
    )
    importing.do_owed()
    read_s = time.monotonic() - started
    importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
    importing.do_owed()
    one.refresh_from_db()
    assert one.state == RegisterImport.State.APPLIED, (one.state, one.refusal)
    peak_mb = held.most_bytes() / 1e6
    one.file.delete(save=False)
    print(json.dumps({"read_s": read_s, "all_s": time.monotonic() - started, "peak_mb": peak_mb}))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), sys.argv[4])
