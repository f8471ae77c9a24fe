"""The demo over TLS in real Chromium: what the walk-down app needs of a phone's browser."""

import base64
import hashlib
import socket
import ssl
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Error, Page, Playwright

from tests.plant.local_postgres.conftest import made_site
from tests.plant.local_postgres.demo_runs import PATIENCE_S, SERVE_TLS, ready, running
from tests.plant.local_postgres.sites import Site, wait_until

pytestmark = [pytest.mark.browser, pytest.mark.slow]

# No name of this machine, whose own names are trusted without TLS.
HOST = "walk.example"


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    yield from made_site(None)


@pytest.fixture(scope="module")
def address(site: Site, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = tmp_path_factory.mktemp("tls") / "log"
    with running(site, log, ["-c", SERVE_TLS, str(port), HOST]) as process:
        wait_until(ready(process, log), PATIENCE_S)
        yield f"https://{HOST}:{port}"
        process.terminate()
        process.wait(30)


def key_of(certificate: Path) -> str:
    """As Chromium is told whom to trust."""
    root = x509.load_pem_x509_certificate(certificate.read_bytes())
    info = root.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return base64.b64encode(hashlib.sha256(info).digest()).decode()


def opened(playwright: Playwright, launch: dict[str, Any], *more: str) -> Iterator[Page]:
    arguments = [*launch["args"], f"--host-resolver-rules=MAP {HOST} 127.0.0.1", *more]
    browser = playwright.chromium.launch(**{**launch, "args": arguments})
    try:
        yield browser.new_page()
    finally:
        browser.close()


@pytest.fixture
def trusting(
    playwright: Playwright, browser_type_launch_args: dict[str, Any], site: Site, address: str
) -> Iterator[Page]:
    key = key_of(site.data / "local-tls" / "root.crt")
    trust = f"--ignore-certificate-errors-spki-list={key}"
    yield from opened(playwright, browser_type_launch_args, trust)


@pytest.fixture
def stranger(playwright: Playwright, browser_type_launch_args: dict[str, Any]) -> Iterator[Page]:
    yield from opened(playwright, browser_type_launch_args)


def test_a_browser_that_trusts_the_root_lets_the_app_work_without_signal(
    trusting: Page, address: str
):
    trusting.goto(f"{address}/walk/")

    assert trusting.evaluate("window.isSecureContext") is True
    scope = trusting.evaluate("navigator.serviceWorker.ready.then((one) => one.scope)")
    assert scope == f"{address}/walk/"


def test_no_other_host_name_is_answered(site: Site, address: str):
    port = address.rsplit(":", 1)[1]
    trust = ssl.create_default_context(cafile=site.data / "local-tls" / "root.crt")
    asked = Request(f"https://localhost:{port}/walk/", headers={"Host": "elsewhere.example"})

    with pytest.raises(HTTPError, match="400"):
        urlopen(asked, timeout=30, context=trust)


def test_a_browser_that_does_not_trust_the_root_is_warned(stranger: Page, address: str):
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        stranger.goto(f"{address}/walk/")
