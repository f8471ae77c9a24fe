"""If-Match and If-None-Match as RFC 9110 says, and what a version is taken from."""

import pytest
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from plant.api import etags


def asked(if_match: str | None) -> Request:
    headers = {} if if_match is None else {"If-Match": if_match}
    return Request(APIRequestFactory().patch("/", headers=headers))


@pytest.mark.parametrize(
    ("if_match", "version"),
    [
        ('"3"', 3),
        ('"3-0f2c9a"', 3),
        ('"3-0f2c9a-gzip"', 3),
        (' "12-ab" ', 12),
        ('"9", "3-ab"', 3),
        ('"9","8"', 9),
        ('W/"3", "7"', 7),
        (', "3" ,,', 3),
        ('"of-another-site,with-a-comma", "3"', 3),
        ("*", None),
    ],
)
def test_the_version_is_read_from_the_etag_the_present_one_before_others(
    if_match: str, version: int | None
) -> None:
    assert etags.expected_version(asked(if_match), present=3) == version


@pytest.mark.parametrize("if_match", [None, "", "  "])
def test_a_change_that_does_not_say_what_it_changes_is_refused(if_match: str | None) -> None:
    with pytest.raises(etags.PreconditionRequired):
        etags.expected_version(asked(if_match))


@pytest.mark.parametrize(
    "if_match",
    [
        "3",
        "abc",
        '"3',
        '3"',
        '"3" "4"',
        "*, *",
        '*, "3"',
        '"3"x',
        "W/",
        'w/"3"',
        '"3"' + "," * 3000,
    ],
)
def test_what_is_no_list_of_etags_is_refused_by_name(if_match: str) -> None:
    with pytest.raises(ValidationError) as refused:
        etags.expected_version(asked(if_match))

    assert refused.value.get_codes() == {"If-Match": "invalid_etag"}


# RFC 9110, section 13.1.1: a weak ETag matches no write.
@pytest.mark.parametrize(
    "if_match", ['W/"3"', '""', '"abc"', '"-3"', '"3.5"', '"' + "9" * 40 + '"']
)
def test_etags_that_can_be_of_no_state_fail(if_match: str) -> None:
    with pytest.raises(etags.PreconditionFailed):
        etags.expected_version(asked(if_match))


# RFC 9110, section 8.8.3.2, weak comparison.
@pytest.mark.parametrize(
    ("etag", "if_none_match", "known"),
    [
        ('"1-a"', '"1-a"', True),
        ('"1-a"', 'W/"1-a"', True),
        ('"1-a"', 'W/"9", "1-a"', True),
        ('"1-a"', "*", True),
        ('"1-a-gzip"', '"1-a"', True),
        ('"1-a"', '"1-a-gzip"', True),
        ('"1-a"', '"1-b"', False),
        ('"1-a"', '"1"', False),
        ('"1-a"', "1-a", False),
        ('"1-a"', "", False),
    ],
)
def test_what_the_asker_has_is_weakly_compared(etag: str, if_none_match: str, known: bool) -> None:
    assert etags.is_known(etag, if_none_match) is known
