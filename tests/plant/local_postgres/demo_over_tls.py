"""What a browser that trusts the demo's root meets at `manage.py demo --tls`."""

import re
import socket
import ssl
import stat
import urllib.request
from http.cookiejar import CookieJar
from urllib.error import URLError
from urllib.parse import urlencode

import pytest

from plant.services.demo_people import DEMO_PEOPLE
from tests.plant.local_postgres.sites import Site


def check(site: Site, said: str, port: int) -> None:
    root = site.data / "local-tls" / "root.crt"
    trust = ssl.create_default_context(cafile=root)
    trust.verify_flags |= ssl.VERIFY_X509_STRICT

    assert f"ready at https://localhost:{port}/" in said
    assert str(root) in said
    for name in ("localhost", "127.0.0.1", socket.gethostname()):
        _check_handshake(name, port, trust)
    for address in re.findall(r"https://([0-9.]+):", said):
        assert _read(address, port, "/healthz", trust) == b"ok\n"
    assert _read("localhost", port, "/local-root.crt", trust) == root.read_bytes()
    _check_strangers(port)
    _check_sign_in(port, trust)
    for path in root.parent.glob("*-with-key.pem"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def _check_handshake(name: str, port: int, trust: ssl.SSLContext) -> None:
    with (
        socket.create_connection(("127.0.0.1", port), timeout=30) as line,
        trust.wrap_socket(line, server_hostname=name) as over_tls,
    ):
        assert over_tls.version() in {"TLSv1.2", "TLSv1.3"}


def _check_strangers(port: int) -> None:
    with pytest.raises(URLError, match="CERTIFICATE_VERIFY_FAILED"):
        _read("localhost", port, "/healthz", ssl.create_default_context())


def _check_sign_in(port: int, trust: ssl.SSLContext) -> None:
    jar = CookieJar()
    browser = urllib.request.build_opener(
        urllib.request.HTTPSHandler(context=trust), urllib.request.HTTPCookieProcessor(jar)
    )
    address = f"https://localhost:{port}/sign-in/"
    person = DEMO_PEOPLE[0]
    with browser.open(address, timeout=30) as answer:
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', answer.read().decode())
    assert token
    typed = {"username": person.username, "password": person.password}
    form = urlencode({**typed, "csrfmiddlewaretoken": token[1]}).encode()
    origin = {"Origin": f"https://localhost:{port}", "Referer": address}

    with browser.open(urllib.request.Request(address, form, origin), timeout=60) as answer:
        assert answer.url == f"https://localhost:{port}/"
        assert person.display_name in answer.read().decode()
        # A year of https only would shut out every other page of this machine.
        assert "Strict-Transport-Security" not in answer.headers
    assert {cookie.name for cookie in jar} >= {"__Host-sessionid", "__Host-csrftoken"}
    assert all(cookie.secure for cookie in jar)


def _read(host: str, port: int, path: str, trust: ssl.SSLContext) -> bytes:
    address = f"https://{host}:{port}{path}"
    with urllib.request.urlopen(address, timeout=30, context=trust) as answer:
        return answer.read()
