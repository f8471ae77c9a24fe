"""The timed look of the phone in real Chromium, on a page of its own that needs no server.

The page is answered from the static folders with the site's own security policy, at a name that
Chromium takes for this machine itself.
"""

import json
import mimetypes
from pathlib import Path
from typing import Any

from csp.constants import SELF
from django.conf import settings
from playwright.sync_api import BrowserContext, Page, Route

ADDRESS = "http://phone.localhost/"
TIMED = "/static/diagnostics/pocket/timed/"
_STATIC = [settings.BASE_DIR / room / "static" for room in ("plant", "diagnostics")]
_SHELL = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Timed look</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="stylesheet" href="/static/plant/sheet.css">
<link rel="stylesheet" href="/static/diagnostics/pocket_timed.css"></head>
<body><main id="root"><h1>The walk-down</h1></main></body></html>"""


def policy() -> str:
    directives: dict[str, list[str]] = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
    assert directives["default-src"] == [SELF]
    return "; ".join(f"{name} {' '.join(sources)}" for name, sources in directives.items())


def answer_from_disk(context: BrowserContext) -> None:
    context.route(f"{ADDRESS}**", _answer)


def blank_page(context: BrowserContext) -> Page:
    answer_from_disk(context)
    page = context.new_page()
    page.goto(ADDRESS)
    return page


def call(page: Page, module: str, code: str, value: Any = None) -> Any:
    """`code` with `the` as the module and `given` as the value, awaited; what it returns."""
    script = f"""async (text) => {{
        const the = await import("{TIMED}{module}");
        const given = JSON.parse(text);
        {code}
    }}"""
    return page.evaluate(script, json.dumps(value))


def _answer(route: Route) -> None:
    path = route.request.url.removeprefix(ADDRESS.rstrip("/"))
    if path == "/":
        headers = {"Content-Security-Policy": policy()}
        route.fulfill(body=_SHELL, content_type="text/html", headers=headers)
        return
    found = _file(path)
    if found is None:
        route.fulfill(status=404, body="")
        return
    kind = mimetypes.guess_type(found.name)[0] or "application/octet-stream"
    route.fulfill(body=found.read_bytes(), content_type=kind)


def _file(path: str) -> Path | None:
    inside = path.removeprefix("/static/")
    files = (folder / inside for folder in _STATIC)
    return next((one for one in files if one.is_file()), None)
