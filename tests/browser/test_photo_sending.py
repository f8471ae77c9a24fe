"""Photos in real Chromium on a telephone: made smaller before they go, shown, taken out again."""

import io
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from diagnostics.models import Case, Photo
from plant.roles import Role
from tests.diagnostics.factories import make_case, make_conveyor, make_person
from tests.plant.drawn_pictures import ENGLISH_TEXT, ORIENTATION, drawn, written
from tests.plant.factories import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def case() -> Case:
    return make_case(make_conveyor())


@pytest.fixture
def said() -> list[str]:
    """What the browser objects to."""
    return []


@pytest.fixture
def page(browser: Browser, live_server: LiveServer, case: Case, said: list[str]) -> Page:
    client = signed_in(make_person(Role.TECHNICIAN, case.conveyor.plant))
    context = browser.new_context(base_url=live_server.url, viewport={"width": 360, "height": 740})
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    context.add_cookies([cookie])
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"/cases/{case.number}/photos/")
    return page


def a_file(content: bytes, name: str = "IMG_0001.jpg") -> Any:
    return {"name": name, "mimeType": "image/jpeg", "buffer": content}


def a_phones_picture() -> bytes:
    """Large, and held upright: laid on its side in the file."""
    noise = Image.effect_noise((3000, 2000), 60).convert("RGB")
    noise.paste(drawn(3000, 2000).transpose(Image.Transpose.ROTATE_90).resize((3000, 2000)))
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    return written(noise, exif=exif, quality=95)


def sent_bytes(page: Page) -> int:
    size: int = page.locator("input[type=file]").evaluate("one => one.files[0].size")
    return size


def test_photos_are_made_smaller_shown_and_kept_upright(page: Page, case: Case, said: list[str]):
    content = a_phones_picture()

    # One after the other, as a camera gives them.
    page.get_by_label("photos", exact=True).set_input_files([a_file(content)])
    expect(page.locator(".chosen canvas")).to_have_count(1)
    page.get_by_label("photos", exact=True).set_input_files(
        [a_file(written(drawn()), "IMG_0002.jpg")]
    )
    expect(page.locator(".chosen canvas")).to_have_count(2)
    assert sent_bytes(page) < len(content) / 2
    page.get_by_label("what it shows").fill("Worn shell")
    page.get_by_role("button", name="Keep the photos").click()

    expect(page.get_by_text("2 photos are kept.")).to_be_visible()
    expect(page.locator(".photos img")).to_have_count(2)
    loaded = page.locator(".photos img").first
    loaded.scroll_into_view_if_needed()
    expect(loaded).to_have_js_property("complete", True)
    assert loaded.evaluate("one => one.naturalWidth") > 0
    sizes = sorted((row.width, row.height) for row in Photo.objects.filter(case=case))
    assert sizes == [(400, 300), (1067, 1600)]
    assert said == []


def test_a_photo_is_taken_out_before_it_is_sent(page: Page):
    files = [a_file(written(drawn()), f"IMG_000{number}.jpg") for number in range(2)]
    page.get_by_label("photos", exact=True).set_input_files(files)

    remove = page.get_by_role("button", name="Remove: IMG_0000.jpg")
    box = remove.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    remove.click()
    expect(page.locator(".chosen canvas")).to_have_count(1)
    page.get_by_role("button", name="Keep the photos").click()

    expect(page.get_by_text("1 photo is kept.")).to_be_visible()
    assert Photo.objects.count() == 1


def test_a_file_the_browser_cannot_read_is_answered_by_the_site(page: Page):
    page.get_by_label("photos", exact=True).set_input_files([a_file(ENGLISH_TEXT, "notes.jpg")])
    expect(page.locator(".chosen p")).to_have_text("notes.jpg")
    page.get_by_label("what it shows").fill("Worn shell")
    page.get_by_role("button", name="Keep the photos").click()

    expect(page.get_by_text("This is no picture that can be read")).to_be_visible()
    expect(page.get_by_label("what it shows")).to_have_value("Worn shell")


def test_the_page_of_photos_fits_a_phone_and_has_no_serious_fault(page: Page, case: Case):
    page.get_by_label("photos", exact=True).set_input_files([a_file(written(drawn()))])
    page.get_by_role("button", name="Keep the photos").click()
    expect(page.locator(".photos img")).to_have_count(1)
    page.get_by_label("photos", exact=True).set_input_files([a_file(written(drawn()))])
    expect(page.locator(".chosen canvas")).to_have_count(1)

    found = Axe().run(page).response["violations"]

    assert [one["id"] for one in found if one["impact"] in {"serious", "critical"}] == []
    width = page.locator("html").evaluate("one => one.scrollWidth")
    assert width <= 360

    assert Image.open(io.BytesIO(Photo.objects.get().file.read())).format == "JPEG"
