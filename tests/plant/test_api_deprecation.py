"""What of the API will go says so, long before, in the headers that are made for it."""

from datetime import date
from http import HTTPStatus

import pytest
from drf_spectacular.generators import SchemaGenerator
from rest_framework.response import Response
from rest_framework.serializers import BooleanField, Serializer
from rest_framework.test import APIRequestFactory

from plant.api.deprecation import Deprecated, deprecated
from plant.api.rows import RowsOfTheKey
from plant.models import ApiKey, Conveyor
from tests.plant.factories import make_plant
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db


class Told(Serializer):
    is_on = BooleanField()


class Stays(RowsOfTheKey):
    scopes = {"GET": ApiKey.Scope.REGISTER_READ}
    queryset = Conveyor.objects.all()
    serializer_class = Told

    def get(self, request: object) -> Response:
        return Response({})


# Dates and their seconds since 1970 as examples of RFC 9745 (section 2.1) and RFC 8594 have them:
# @1688169599 is one second before 1 July 2023; we tell whole days.
@deprecated(since=date(2023, 7, 1), goes_on=date(2024, 12, 31), instead="/api/v2/belts")
class Goes(Stays):
    pass


def ask(view: type, *scopes: str):
    _key, secret = make_key(make_plant(), *scopes)
    request = APIRequestFactory().get("/", headers={"Authorization": f"Api-Key {secret}"})
    return view.as_view()(request)


def test_what_will_go_says_since_when_until_when_and_what_instead():
    answer = ask(Goes)

    assert answer.status_code == HTTPStatus.OK
    assert answer["Deprecation"] == "@1688169600"
    assert answer["Sunset"] == "Tue, 31 Dec 2024 00:00:00 GMT"
    assert answer["Link"] == '</api/v2/belts>; rel="successor-version"'


def test_whoever_is_refused_hears_it_too():
    answer = ask(Goes, "complaints:read")

    assert answer.status_code == HTTPStatus.FORBIDDEN
    assert answer["Deprecation"] == "@1688169600"


def test_what_stays_says_nothing():
    assert not {"Deprecation", "Sunset", "Link"} & set(ask(Stays).headers)


def test_nothing_goes_sooner_than_a_year_after_it_was_said():
    with pytest.raises(ValueError, match="365 days"):
        Deprecated(date(2026, 1, 1), date(2026, 12, 31))


def test_the_description_marks_it():
    from django.urls import path

    patterns = [path("goes", Goes.as_view()), path("stays", Stays.as_view())]

    paths = SchemaGenerator(patterns=patterns).get_schema(public=True)["paths"]

    assert paths["/goes"]["get"]["deprecated"] is True
    assert "deprecated" not in paths["/stays"]["get"]
