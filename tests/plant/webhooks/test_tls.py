"""With TLS: the certificate is held against the name, not against the checked address."""

import ssl
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from plant.services import certificate_making, webhook_posting
from plant.services.demo_names import Names as CertificateNames
from plant.webhooks.answers import Answer, Fault
from tests.plant.webhooks.names import Names
from tests.plant.webhooks.receiver import Receiver, moved, receiving
from tests.plant.webhooks.targets import LOOPBACK

HOST, OTHER = "receiver.plant.example", "other.plant.example"


@pytest.fixture
def root(tmp_path: Path) -> certificate_making.Pair:
    names = CertificateNames((HOST,), ())
    return certificate_making.make_root("a test", names, datetime.now(UTC))


@pytest.fixture
def receiver(root: certificate_making.Pair, tmp_path: Path, names: Names) -> Iterator[Receiver]:
    site = certificate_making.make_site(
        root, "a test", CertificateNames((HOST,), ()), datetime.now(UTC)
    )
    file = tmp_path / "site.pem"
    file.write_bytes(site.key_as_pem() + site.certificate_as_pem())
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file)
    names(HOST, ["127.0.0.1"])
    names(OTHER, ["127.0.0.1"])
    with receiving(lambda socket: context.wrap_socket(socket, server_side=True)) as found:
        yield found


@pytest.fixture
def trusting(root: certificate_making.Pair, monkeypatch: pytest.MonkeyPatch) -> None:
    """The authority of the plant is among those this machine trusts."""
    pem = root.certificate_as_pem().decode()
    context = ssl.create_default_context(cadata=pem)
    monkeypatch.setattr(webhook_posting, "_trusted", lambda: context)


def post(receiver: Receiver, host: str = HOST) -> Answer:
    address = f"https://{host}:{receiver.port}/in"
    return webhook_posting.post(address, {}, b"{}", LOOPBACK, 3.0)


@pytest.mark.usefixtures("trusting")
def test_a_trusted_certificate_of_the_name_is_taken(receiver: Receiver) -> None:
    assert post(receiver).is_taken
    assert receiver.got[0].headers["host"] == f"{HOST}:{receiver.port}"


@pytest.mark.usefixtures("trusting")
def test_a_certificate_of_another_name_is_not(receiver: Receiver) -> None:
    assert post(receiver, OTHER).fault is Fault.NOT_TRUSTED
    assert not receiver.got


def test_a_certificate_of_an_unknown_authority_is_not(receiver: Receiver) -> None:
    assert post(receiver).fault is Fault.NOT_TRUSTED
    assert not receiver.got


@pytest.mark.usefixtures("trusting")
def test_a_redirect_from_https_to_http_is_not_followed(receiver: Receiver) -> None:
    receiver.answers = moved(f"http://{HOST}:{receiver.port}/in")

    assert post(receiver).fault is Fault.MOVED_WITHOUT_TLS
    assert len(receiver.got) == 1
