"""A writer with a process and a connection of its own; prints what it committed, nothing else.

Run as `writer_alone CONNINFO SEED SECONDS`. A line for each change of an order in a transaction
whose commit was confirmed: number, version, text.
"""

import random
import sys
import time

import psycopg

_WRITE = (
    "UPDATE workorders_workorder SET external_number = %s, version = version + 1 "
    "WHERE number = %s RETURNING version"
)
_LONGEST_S = 2.0


def write(conninfo: str, seed: int, seconds: float) -> None:
    chance = random.Random(seed)
    until = time.monotonic() + seconds
    turn = 0
    with psycopg.connect(conninfo) as connection:
        numbers = [
            number
            for (number,) in connection.execute(
                "SELECT number FROM workorders_workorder ORDER BY number"
            )
        ]
        connection.commit()
        while time.monotonic() < until:
            turn += 1
            _one_transaction(connection, chance, numbers, f"{seed}-{turn}")


def _one_transaction(
    connection: psycopg.Connection, chance: random.Random, numbers: list[str], text: str
) -> None:
    # Always in one order, so that no two writers wait for each other.
    chosen = sorted(chance.sample(numbers, chance.choice([1, 1, 2, 3])))
    written = []
    for number in chosen:
        found = connection.execute(_WRITE, [text, number]).fetchone()
        assert found is not None
        written.append(f"{number} {found[0]} {text}")
    fate = chance.random()
    if fate < 0.02 or fate > 0.99:
        # Long ones are committed and rolled back.
        time.sleep(chance.uniform(0.3, _LONGEST_S))
    if fate > 0.8:
        connection.rollback()
        return
    connection.commit()
    print("\n".join(written), flush=True)


if __name__ == "__main__":
    write(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]))
