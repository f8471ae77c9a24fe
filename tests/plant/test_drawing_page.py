"""The drawing of a loop on a sheet of its own: stretches by address, the belt at one instant."""

import io
import re
from datetime import date

import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone

from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Belt, BeltMark, Component
from plant.roles import Role
from plant.selectors.drawing import Mark, loop_drawing
from tests.plant.factories import (
    make_complete_conveyor,
    make_component,
    make_person,
    make_plant,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor():
    return make_complete_conveyor(make_plant())


@pytest.fixture
def reader(client, conveyor):
    client.force_login(make_person(Role.TECHNICIAN, plants=[conveyor.plant]))
    return client


def page(reader, conveyor, asked="", status=200):
    where = reverse("conveyor-drawing", args=[conveyor.plant.code, conveyor.tag])
    answer = reader.get(f"{where}?{asked}")
    assert answer.status_code == status
    return answer.text


def test_a_stretch_has_an_address_that_can_be_passed_on(reader, conveyor):
    whole = page(reader, conveyor)
    stretch = page(reader, conveyor, "from=10&to=20")

    assert "What stands here" not in whole
    assert "Shown: 10.0\N{NO-BREAK SPACE}m to 20.0\N{NO-BREAK SPACE}m" in stretch
    assert "What stands here" in stretch
    assert 'class="loop wide enlarged"' in stretch
    assert 'class="set-name"' in stretch
    # From there on: larger, smaller, along, the whole, and zone by zone.
    assert "from=12.5&amp;to=17.5" not in stretch
    assert "from=5&amp;to=15" in stretch
    assert "from=15&amp;to=25" in stretch
    assert "from=5&amp;to=25" in stretch


def test_the_stretch_keeps_what_else_was_asked(reader, conveyor):
    html = page(reader, conveyor, "from=10&to=20&at=5&later=3")

    assert "at=5&amp;later=3&amp;from=15&amp;to=25" in html


def test_every_component_of_the_drawing_leads_to_its_page_with_words(reader, conveyor):
    html = page(reader, conveyor)

    figure = html.split('class="loop wide"')[1].split("</svg>")[0]
    head = Component.objects.get(conveyor=conveyor, kind=ComponentKind.HEAD_PULLEY)
    address = reverse("component", args=[conveyor.plant.code, conveyor.tag, head.pk])
    assert address in figure
    links = re.findall(r"<a [^>]*>", figure)
    assert len(links) >= 5
    assert all('aria-label="' in link and 'aria-label=""' not in link for link in links)


def test_a_splice_stands_where_it_is_said_to_be(reader, conveyor):
    belt = Belt.objects.get(conveyor=conveyor)
    splice = belt.splices.first() or belt.splices.create(name="A", belt_position_m=0)
    BeltMark.objects.create(belt=belt, kind="tear", belt_position_m=20, length_m=2)

    html = page(reader, conveyor, f"splice={splice.pk}&at=12.5")

    assert (
        f"splice {splice.name}, belt position {splice.belt_position_m:.1f} m, now at 12.5" in html
    )
    assert "tear, belt position 20.0 m" in html
    assert f"{splice.name} at 12.5" in html
    later = page(reader, conveyor, f"splice={splice.pk}&at=12.5&later=2")
    length_m = float(re.search(r"The belt path, ([\d.]+)", later)[1])
    moved = 12.5 + 2 * conveyor.speed_mps * length_m / belt.length_m
    assert f"now at {moved:.1f} m" in later


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("from=10", "A stretch has two ends."),
        ("to=10", "A stretch has two ends."),
        ("from=10&to=10", "no length"),
        ("from=10&to=99999", "long."),
        ("from=abc&to=20", "Enter a number."),
        ("from=nan&to=20", "Enter a number."),
        ("from=-1&to=20", "greater than or equal to 0"),
        ("at=5000", "long."),
        ("splice=999999", "999999"),
        ("splice=x", "valid choice"),
        ("later=-1", "greater than or equal to 0"),
        ("later=1e999", "Enter a number."),
    ],
)
def test_what_cannot_be_drawn_is_told_beside_its_field(reader, conveyor, asked, says):
    html = page(reader, conveyor, asked, status=400)

    assert says in html
    assert 'class="loop wide"' in html


def test_what_was_fitted_lately_is_marked_with_its_day(reader, conveyor):
    today = timezone.now().date()
    make_component(conveyor, "Cleaner", ComponentKind.BELT_CLEANER, Run.RETURN, "102.5")
    Component.objects.filter(name="Cleaner").update(fitted_on=today)
    Component.objects.filter(kind=ComponentKind.HEAD_PULLEY).update(fitted_on=date(2001, 1, 1))

    for html in (
        page(reader, conveyor),
        reader.get(reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])).text,
    ):
        assert f"Cleaner, {today.isoformat()}" in html
        assert "replaced lately" in html
        assert "2001-01-01</title>" not in html


def test_a_conveyor_without_a_loop_says_what_is_missing(reader, conveyor):
    Component.objects.filter(conveyor=conveyor, kind=ComponentKind.HEAD_PULLEY).delete()

    html = page(reader, conveyor)

    assert "cannot be drawn yet" in html
    assert "drawing-form" not in html


def test_as_many_questions_for_a_thousand_components(reader, conveyor, django_assert_num_queries):
    page(reader, conveyor)
    with django_assert_num_queries(14) as few:
        page(reader, conveyor, "from=10&to=20")
    Component.objects.bulk_create(
        Component(
            conveyor=conveyor,
            name=f"S{number}",
            kind=ComponentKind.STRUCTURE_SECTION.value,
            run=Run.CARRYING.value,
            first_m=5 + number * 0.04,
            length_m=0.03,
        )
        for number in range(1000)
    )
    belt = Belt.objects.get(conveyor=conveyor)
    BeltMark.objects.bulk_create(
        BeltMark(belt=belt, kind="repair", belt_position_m=number) for number in range(40)
    )
    with django_assert_num_queries(len(few)):
        html = page(reader, conveyor, "from=10&to=20")
    assert "more: choose a shorter stretch" in html


def test_the_same_drawing_comes_as_a_sheet_on_paper(reader, conveyor):
    where = reverse("conveyor-drawing-sheet", args=[conveyor.plant.code, conveyor.tag])

    answer = reader.get(f"{where}?from=10&to=20&at=3")

    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    paper = pypdf.PdfReader(io.BytesIO(answer.content))
    assert len(paper.pages) == 1
    size = paper.pages[0].mediabox
    assert size.width > size.height
    words = paper.pages[0].extract_text()
    for expected in (conveyor.tag, "10.0", "20.0", "not to scale", "splice"):
        assert expected in words
    assert reader.get(f"{where}?from=10").status_code == 400


def test_a_marked_place_leads_to_what_stands_around_it(reader, conveyor):
    marks = [Mark(20.0, "onset", "C5"), Mark(3.0, "suspected", "TAIL")]

    drawing = loop_drawing(conveyor, marks=marks, has_larger=True)

    # Over the seam: the tail is before it and after it.
    from_m, to_m = re.search(r"from=([\d.]+)&to=([\d.]+)", drawing["larger"]).groups()
    assert float(from_m) == pytest.approx(drawing["loop"].length_m - 9.0, abs=0.1)
    assert float(to_m) == 15.0
    assert "What stands here" in reader.get(drawing["larger"]).text
    assert loop_drawing(conveyor, marks=marks)["larger"] == ""
