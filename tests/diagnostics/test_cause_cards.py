"""Cards of causes: one sheet each, everything on it, whatever a plant has typed."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import knowledge_files
from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.selectors.cause_cards import cards
from diagnostics.views.cause_cards import SHEET
from plant import typesetting
from plant.models import Plant
from tests.diagnostics.editions import entry, put_in_force
from tests.pdf_reader import letters_of, pages_of, words_of

pytestmark = pytest.mark.django_db
LIBRARY = knowledge_files.library()


def bare(text: str) -> str:
    return "".join(text.split())


def by_length(cause: Cause) -> int:
    method = LIBRARY.work_methods[cause.work_method]
    return len(str(cause)) + len(str(method))


def test_a_card_holds_what_is_needed_at_the_belt_on_one_sheet(technician: Client) -> None:
    cause = LIBRARY.knowledge.causes["tail_pulley_skewed"]

    response = technician.get(reverse("cause-card", args=[cause.slug]))

    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'attachment; filename="tail_pulley_skewed.pdf"'
    assert len(pages_of(response.content)) == 1
    said = letters_of(response.content)
    method = LIBRARY.work_methods[cause.work_method]
    told = [
        cause.name,
        cause.shows,
        cause.confirm.what,
        "About 30 minutes.",
        "Belt stopped and locked out.",
        cause.correct,
        cause.tolerance,
        *(one.tell_apart for one in cause.look_alikes),
        *(LIBRARY.knowledge.cautions[one] for one in cause.cautions),
        *(step.what for step in method.steps),
        method.name,
    ]
    # Words parted at the end of a line are joined again.
    plain = said.replace("-", "")
    assert [one for one in told if bare(one).replace("-", "") not in plain] == []


def test_cautions_come_before_anything_that_brings_a_hand_near() -> None:
    values = cards(LIBRARY, [LIBRARY.knowledge.causes["tail_pulley_skewed"]], "x", None)

    words = words_of(typesetting.pdf_of(SHEET, values, timezone.now()))

    assert words.index("Before you go near") < words.index("How to be sure")


@pytest.mark.slow
def test_every_card_stands_on_one_sheet() -> None:
    causes = list(LIBRARY.knowledge.causes.values())

    pdf = typesetting.pdf_of(SHEET, cards(LIBRARY, causes, "x", None), timezone.now())

    pages = pages_of(pdf)
    assert len(pages) == len(causes)
    for cause, page in zip(causes, pages, strict=True):
        assert bare(cause.name) in bare(page)


def test_the_longest_cards_stand_on_one_sheet_each() -> None:
    causes = sorted(LIBRARY.knowledge.causes.values(), key=by_length)[-3:]

    pdf = typesetting.pdf_of(SHEET, cards(LIBRARY, causes, "x", None), timezone.now())

    assert len(pages_of(pdf)) == len(causes)


def test_the_cards_of_a_class_are_one_file(technician: Client) -> None:
    response = technician.get(reverse("class-cards", args=["loading"]))

    pages = pages_of(response.content)
    of_class = [
        one for one in LIBRARY.knowledge.causes.values() if one.cause_class is CauseClass.LOADING
    ]
    assert len(pages) == len(of_class)
    assert [bare(one.name) in bare(page) for one, page in zip(of_class, pages, strict=True)] == [
        True
    ] * len(of_class)


def test_a_card_is_of_the_plants_own_edition_and_says_so(technician: Client, plant: Plant) -> None:
    put_in_force(
        plant,
        lambda documents: entry(documents, "causes", "wind_on_belt").update(
            tolerance='#panic("no markup") $x$ *is read here*'
        ),
    )

    said = words_of(technician.get(reverse("cause-card", args=["wind_on_belt"])).content)

    assert '#panic("no markup") $x$ *is read here*' in said.replace("“", '"').replace("”", '"')
    assert plant.name in said
    assert "edition 1" in said


@pytest.mark.parametrize(
    ("name", "asked"), [("cause-card", "gremlins"), ("class-cards", "gearbox")]
)
def test_cards_of_what_is_not_there_are_not_found(
    technician: Client, name: str, asked: str
) -> None:
    assert technician.get(reverse(name, args=[asked])).status_code == 404


def test_another_plants_cards_are_not_there(technician: Client) -> None:
    address = reverse("cause-card", args=["wind_on_belt"])

    assert technician.get(address, {"plant": "ELSEWHERE"}).status_code == 404


def test_a_sheet_that_cannot_be_set_says_what_to_do_instead(
    technician: Client, monkeypatch: Any
) -> None:
    def fail(*_args: Any) -> bytes:
        raise typesetting.TypesettingFailed("out of ink")

    monkeypatch.setattr(typesetting, "pdf_of", fail)

    response = technician.get(reverse("cause-card", args=["wind_on_belt"]))

    assert response.status_code == 503
    assert "print the page of the cause" in response.content.decode()
