"""The README's picture is what our own code draws."""

from xml.etree import ElementTree

from tests.plant.loop_example import PICTURE, picture


def test_the_picture_in_the_readme_is_the_drawing_as_it_is_now():
    drawn = picture()

    assert PICTURE.read_text(encoding="utf-8") == drawn, (
        "The drawing has changed: python -m tests.plant.loop_example"
    )


def test_the_picture_stands_alone():
    root = ElementTree.fromstring(picture())

    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    text = ElementTree.tostring(root, encoding="unicode")
    assert "var(--" not in text
    assert "href" not in text
