"""Every address of the site, found by walking the patterns: a new one cannot be forgotten."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

# Whatever a parameter asks for, one of these has its shape.
_UUID = "0f8fad5b-d9cb-469f-a165-70867728950e"
_SHAPES = ("LT-W-0001", "LT-C-0001", "1", "CV-1", "tail-pulley", "x" * 8, "pdf", _UUID)


@dataclass(frozen=True)
class Address:
    """One pattern; `sample` is an address it answers, of rows that need not be there."""

    name: str | None
    route: str
    parameters: tuple[str, ...]
    sample: str
    is_open: bool

    def __str__(self) -> str:
        return self.name or self.route


def every_address() -> list[Address]:
    return [_address(*found) for found in _patterns(get_resolver())]


def _patterns(
    resolver: URLResolver, route: str = "", parameters: tuple[str, ...] = ()
) -> Iterator[tuple[URLPattern, str, tuple[str, ...]]]:
    for one in resolver.url_patterns:
        further = (route + str(one.pattern), (*parameters, *one.pattern.regex.groupindex))
        if isinstance(one, URLResolver):
            yield from _patterns(one, *further)
        else:
            yield one, *further


def _address(pattern: URLPattern, route: str, parameters: tuple[str, ...]) -> Address:
    return Address(
        name=pattern.name,
        route=route,
        parameters=parameters,
        sample=_sample(pattern, route, parameters),
        is_open=not getattr(pattern.callback, "login_required", True),
    )


def _sample(pattern: URLPattern, route: str, parameters: tuple[str, ...]) -> str:
    if pattern.name is None:
        # Only the API's answer to whatever is no resource.
        assert route.endswith(r"^[\s\S]*$"), f"{route} has no name."
        return "/" + route.removesuffix(r"^[\s\S]*$") + "no/such/thing"
    for values in product(_SHAPES, repeat=len(parameters)):
        try:
            return reverse(pattern.name, kwargs=dict(zip(parameters, values, strict=True)))
        except (NoReverseMatch, ValueError):
            continue
    raise AssertionError(f"{route}: give tests/addresses.py a shape for its parameters.")
