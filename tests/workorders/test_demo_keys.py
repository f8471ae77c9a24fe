"""Keys of the invented plants, told without their whole history."""

import pytest
from django.urls import reverse

from plant.models import ApiKey
from plant.roles import Role
from plant.services.changing_keys import former_works
from tests.plant.factories import make_person, make_plant, signed_in
from tests.workorders.factories import NOW
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.giving_keys import give_keys


@pytest.mark.django_db
def test_the_pages_of_keys_have_something_of_every_kind_to_show():
    plant = make_plant(code="LT")
    person = make_person(Role.ADMINISTRATOR, plants=[plant])

    give_keys(plant, Cast({Role.ADMINISTRATOR: (person,)}), NOW)

    ledger, trial, display = ApiKey.objects.order_by("name")
    assert former_works(ledger, NOW)
    assert ledger.requests_per_minute == 240
    assert trial.revoked
    assert display.expiry_date is not None
    log = [entry.what for entry in ledger.log.all()]
    assert log == ["replaced", "changed", "made"]
    page = signed_in(person).get(reverse("key", args=[ledger.prefix])).content.decode()
    assert "requests a minute: as the site has it, now 240" in page
