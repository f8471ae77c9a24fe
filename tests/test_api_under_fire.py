"""The whole API on a running server, asked whatever its description allows and much it does not.

Known rows and bodies steer most of what is generated, so that not every answer is a refusal; how
many were none is printed by operation. A tenth of the addresses stays as it was generated.
"""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed
from hypothesis import settings as how
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import FailureGroup
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from tests.api_world import Endpoint, every_endpoint
from tests.served import served
from tests.workorders.factories import make_case, make_conveyor, make_key
from tests.world import World, make_world

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

EXAMPLES = 10
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
# Reading comes first, then what adds and changes; what ends a row comes last.
_ORDER = ("GET", "POST", "PATCH", "PUT", "DELETE")


@dataclass
class Fire:
    """What came of it: answers by operation and class of status, and what should not have been."""

    site: str
    secret: str
    world: World
    answers: dict[str, Counter[str]] = field(default_factory=dict)
    failures: list[str] = field(default_factory=list)

    def at(self, operation: APIOperation, endpoint: Endpoint, mode: GenerationMode) -> None:
        chance = random.Random(f"{operation.label} {mode}")
        counted = self.answers.setdefault(operation.label, Counter())

        @seed(20261129)
        @how(
            max_examples=EXAMPLES,
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(mode))
        def ask(case: Case) -> None:
            self.steer(case, endpoint, chance)
            headers = {"Authorization": f"Api-Key {self.secret}"}
            response = case.call(base_url=self.site, headers=headers, timeout=30)
            counted[f"{response.status_code // 100}xx"] += 1
            case.validate_response(response, checks=CHECKS)

        try:
            ask()
        except (FailureGroup, AssertionError) as failure:
            self.failures.append(f"{operation.label}: {failure}")

    def steer(self, case: Case, endpoint: Endpoint, chance: random.Random) -> None:
        if case.path_parameters and chance.random() < 0.9:
            case.path_parameters = endpoint.parameters_in(self.world)
        # Control characters in a head are refused by the web server, before the site hears of it.
        case.headers = {
            name: value for name, value in (case.headers or {}).items() if str(value).isprintable()
        }
        if endpoint.method != "GET" and chance.random() < 0.9:
            case.headers["If-Match"] = "*"
        if case.query:
            case.query = _quick(case.query) if chance.random() < 0.6 else {}
        good = endpoint.body(self.world)
        if isinstance(good, dict) and chance.random() < 0.8:
            case.body = _mixed(good, case.body, chance)


def _quick(query: dict[str, Any]) -> dict[str, Any]:
    """Nobody waits here for news of a feed."""
    return {**query, "wait": 0} if str(query.get("wait", "")).isdigit() else query


def _mixed(good: dict[str, Any], generated: Any, chance: random.Random) -> dict[str, Any]:
    """What is known to be taken, half the time with something of what was generated."""
    if not isinstance(generated, dict) or not generated or chance.random() < 0.5:
        return good
    name = chance.choice(sorted(generated))
    return {**good, name: generated[name]}


@pytest.fixture
def fire(tmp_path: Path, settings: Any) -> Iterator[Fire]:
    # Files sent in are read by other processes than this one.
    settings.MEDIA_ROOT = tmp_path
    kept = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
    settings.STORAGES = {**settings.STORAGES, "default": kept}
    world = make_world()
    with served(MEDIA_ROOT=str(tmp_path)) as site:
        yield Fire(site, make_key(world.plant, requests_per_minute=0)[1], world)


def test_whatever_is_asked_nothing_breaks_and_answers_are_as_described(fire: Fire) -> None:
    schema = schemathesis.openapi.from_url(f"{fire.site}/api/v1/openapi.json")
    endpoints = {(one.method, one.described_path): one for one in every_endpoint()}
    operations = [found.ok() for found in schema.get_all_operations()]
    operations.sort(key=_turn)

    assert {(one.method.upper(), one.path) for one in operations} == set(endpoints)
    for operation in operations:
        endpoint = endpoints[operation.method.upper(), operation.path]
        if endpoint.name == "api-case-moves":
            # Work that was moved meanwhile keeps its own case from ending.
            fire.world.values["number"] = make_case(make_conveyor(fire.world.plant)).number
        for mode in GenerationMode:
            fire.at(operation, endpoint, mode)

    print(_table(fire.answers))
    assert not fire.failures, "\n\n".join(fire.failures)
    assert [label for label, counted in fire.answers.items() if not counted["2xx"]] == []


def _turn(operation: APIOperation) -> tuple[int, int]:
    """A case that is moved may end, and all work on it with it."""
    ends = [
        "work-orders/{number}/moves" in operation.path,
        "cases/{number}/moves" in operation.path,
    ]
    last = ends.index(True) + 1 if any(ends) else 0
    return last, _ORDER.index(operation.method.upper())


def _table(answers: dict[str, Counter[str]]) -> str:
    rows = [
        f"{counted['2xx'] / counted.total():4.0%} of {counted.total():3}  {label}"
        for label, counted in answers.items()
    ]
    return "\nAnswered with 2xx:\n" + "\n".join(rows)
