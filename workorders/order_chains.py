"""Orders that wait for others, as a graph of keys; pure.

An order that waited for itself, over however many others, could never begin.
"""

from collections.abc import Collection, Iterable, Mapping

Waits = Mapping[int, Collection[int]]


def way_back(waits_for: Waits, order: int, after: int) -> tuple[int, ...]:
    """From `after` to `order` by what each waits for: the circle that a new link would close.

    Parameters
    ----------
    waits_for : mapping of int to collection of int
        What each order waits for now.
    order, after : int
        The link that is asked for: `order` shall wait for `after`.

    Returns
    -------
    tuple of int
        `after` first, `order` last, shortest way; empty when there is none.
    """
    ways: list[tuple[int, ...]] = [(after,)]
    reached = {after}
    while ways:
        way = ways.pop(0)
        if way[-1] == order:
            return way
        for following in sorted(set(waits_for.get(way[-1], ())) - reached):
            reached.add(following)
            ways.append((*way, following))
    return ()


def as_one(waits_for: Waits, orders: Collection[int], into: int) -> dict[int, set[int]]:
    """What everybody waits for when some orders become one; those among them wait no more.

    The result holds a circle where somebody stood between two of them; see `circle_through`.
    """
    one = {*orders, into}

    def named(key: int) -> int:
        return into if key in one else key

    joined: dict[int, set[int]] = {}
    for key, others in waits_for.items():
        joined.setdefault(named(key), set()).update(named(other) for other in others)
    joined.setdefault(into, set()).discard(into)
    return joined


def circle_through(waits_for: Waits, order: int) -> tuple[int, ...]:
    """A circle that leads from an order back to it: those in between; empty when there is none."""
    for after in sorted(waits_for.get(order, ())):
        way = way_back(waits_for, order, after)
        if way:
            return way[:-1]
    return ()


def waits_from(links: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
    """From pairs of an order and what it waits for."""
    waits: dict[int, set[int]] = {}
    for order, after in links:
        waits.setdefault(order, set()).add(after)
    return waits
