"""How well a part answers to the words of a job's list."""

import pytest

from workorders.planning.part_naming import LIKE_ENOUGH, likeness


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("carrying rolls", "Carrying roll 159 × 600"),
        ("Hanger bolts", "hanger bolt M12"),
        ("idler frames as needed", "Carrying idler frame, 35°"),
        ("lagging and adhesive", "Rubber lagging"),
        ("bearing", "Spherical roller bearing 22220"),
    ],
)
def test_words_of_a_list_find_their_part(written: str, name: str):
    assert likeness(written, [name]) >= LIKE_ENOUGH


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("return roll", "Cleaner blade"),
        ("as needed", "Whatever is needed"),
        ("", "Carrying roll"),
        ("…", "Carrying roll"),
        ("glass", "glas"),
    ],
)
def test_words_that_say_nothing_find_nothing(written: str, name: str):
    assert likeness(written, [name]) < LIKE_ENOUGH


def test_the_closer_name_is_the_likelier():
    asked = "carrying roll 159"

    assert likeness(asked, ["Carrying roll 159 × 600"]) > likeness(asked, ["Return roll 108"])
