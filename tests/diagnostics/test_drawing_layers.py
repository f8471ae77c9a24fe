"""What the rooms above lay over a conveyor's drawing: open cases, looks of late, open orders."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import Case, Sighting
from plant.roles import Role
from tests.diagnostics import factories
from tests.plant.factories import make_complete_conveyor, make_person, make_plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    conveyor = make_complete_conveyor(make_plant())
    return factories.take(conveyor).case


def pages(client, case):
    conveyor = case.conveyor
    client.force_login(make_person(Role.TECHNICIAN, plants=[conveyor.plant]))
    where = (conveyor.plant.code, conveyor.tag)
    return [client.get(reverse(name, args=where)).text for name in ("conveyor", "conveyor-drawing")]


def test_an_open_case_is_marked_where_its_cause_was_found_and_leads_to_it(client, case):
    Case.objects.filter(pk=case.pk).update(position_m=20.0)

    for html in pages(client, case):
        figure = html.split('class="loop wide"')[1].split("</svg>")[0]
        assert f'href="{reverse("case", args=[case.number])}"' in figure
        assert "pinned-case" in figure
        assert "open case" in html

    Case.objects.filter(pk=case.pk).update(state="closed")
    assert all("pinned-case" not in html for html in pages(client, case))


def test_the_latest_looks_of_any_case_are_a_ribbon_with_their_days(client, case):
    walk_down = factories.make_walk_down(case)
    factories.look(walk_down, "R5", 60.0)
    seen_at = timezone.now() - timedelta(days=3)
    Sighting.objects.update(seen_at=seen_at)

    for html in pages(client, case):
        assert 'class="reading' in html
        assert "R5: " in html
        assert "Seen on" in html

    # What was seen long ago says little of how the belt runs now.
    Sighting.objects.update(seen_at=timezone.now() - timedelta(days=90))
    assert all('class="reading' not in html for html in pages(client, case))
    Sighting.objects.update(seen_at=seen_at, taken_back_at=timezone.now())
    assert all('class="reading' not in html for html in pages(client, case))
