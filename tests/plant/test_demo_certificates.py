"""Certificates of `manage.py demo --tls`, held against another's reading of the rules."""

import ipaddress
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from plant.services import certificate_making, demo_certificates
from plant.services.demo_names import Names, names_from

NOW = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
NAMES = names_from(["localhost", "belts"], [ipaddress.ip_address("192.168.7.20")])
# Apple, "Requirements for trusted certificates in iOS 13 and macOS 10.15": at most 825 days; 398
# for certificates of roots that everybody trusts.
LONGEST_LIFE = timedelta(days=398)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LOOPWRIGHT_DATA", str(tmp_path))
    return tmp_path / "local-tls"


def verified(kept: demo_certificates.Certificates, name: str, at: datetime = NOW) -> None:
    """Raises VerificationError unless the site's certificate holds for this name."""
    root = x509.load_pem_x509_certificate(kept.root.read_bytes())
    site, *others = x509.load_pem_x509_certificates(kept.site.read_bytes())
    try:
        subject: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        subject = x509.DNSName(name)
    verifier = PolicyBuilder().store(Store([root])).time(at).build_server_verifier(subject)
    verifier.verify(site, others)


@pytest.mark.parametrize("name", ["localhost", "belts", "127.0.0.1", "::1", "192.168.7.20"])
def test_the_chain_holds_for_every_name_of_the_machine(name: str):
    verified(demo_certificates.ready(NAMES, NOW), name)


@pytest.mark.parametrize("name", ["bank.example", "192.168.7.21", "belts.example"])
def test_the_chain_holds_for_no_other_name(name: str):
    with pytest.raises(VerificationError):
        verified(demo_certificates.ready(NAMES, NOW), name)


@pytest.mark.parametrize("name", ["bank.example", "93.184.216.34"])
def test_the_root_cannot_vouch_for_the_rest_of_the_internet(name: str, folder: Path):
    kept = demo_certificates.ready(NAMES, NOW)
    root = certificate_making.pair_from_pem((folder / "root-with-key.pem").read_bytes())
    forged = certificate_making.make_site(root, "belts", names_from([name], []), NOW)
    kept.site.write_bytes(forged.certificate_as_pem())

    with pytest.raises(VerificationError):
        verified(kept, name)


def test_a_site_certificate_lives_no_longer_than_phones_accept():
    kept = demo_certificates.ready(NAMES, NOW)

    site = x509.load_pem_x509_certificate(kept.site.read_bytes())
    assert site.not_valid_after_utc - site.not_valid_before_utc <= LONGEST_LIFE + timedelta(days=1)
    assert site.not_valid_before_utc < NOW


def test_certificates_that_hold_are_used_again():
    first = demo_certificates.ready(NAMES, NOW)
    before = (first.root.read_bytes(), first.site.read_bytes())

    again = demo_certificates.ready(NAMES, NOW + timedelta(days=300))

    assert (again.root.read_bytes(), again.site.read_bytes()) == before
    assert not first.replaces_earlier_root
    assert not again.replaces_earlier_root


def test_a_site_certificate_near_its_end_is_renewed_under_the_same_root():
    first = demo_certificates.ready(NAMES, NOW)
    root, site = first.root.read_bytes(), first.site.read_bytes()

    again = demo_certificates.ready(NAMES, NOW + timedelta(days=380))

    assert again.root.read_bytes() == root
    assert again.site.read_bytes() != site
    verified(again, "belts", at=NOW + timedelta(days=600))


def test_a_root_near_its_end_is_renewed_and_said_to_be_new():
    demo_certificates.ready(NAMES, NOW)
    later = NOW + certificate_making.ROOT_LIVES - timedelta(days=20)

    again = demo_certificates.ready(NAMES, later)

    assert again.replaces_earlier_root
    verified(again, "belts", at=later + timedelta(days=100))


def test_a_new_address_of_the_network_needs_no_new_root():
    demo_certificates.ready(NAMES, NOW)
    moved = names_from(["localhost", "belts"], [ipaddress.ip_address("10.1.2.3")])

    again = demo_certificates.ready(moved, NOW)

    assert not again.replaces_earlier_root
    verified(again, "10.1.2.3")


@pytest.mark.parametrize(
    "names", [names_from(["walk.example"], []), names_from([], [ipaddress.ip_address("8.8.8.8")])]
)
def test_a_name_the_root_may_not_vouch_for_makes_a_new_root(names: Names):
    demo_certificates.ready(NAMES, NOW)

    again = demo_certificates.ready(names, NOW)

    assert again.replaces_earlier_root
    verified(again, names.hosts[0] if names.hosts else "8.8.8.8")


@pytest.mark.parametrize("name", ["root-with-key.pem", "site-with-key.pem"])
@pytest.mark.parametrize("content", [b"", b"no certificate at all", b"half"])
def test_a_spoilt_file_is_made_anew(name: str, content: bytes, folder: Path):
    demo_certificates.ready(NAMES, NOW)
    path = folder / name
    path.write_bytes(path.read_bytes()[:300] if content == b"half" else content)

    verified(demo_certificates.ready(NAMES, NOW), "belts")


def test_keys_are_readable_by_their_owner_only_and_no_draft_is_left(folder: Path):
    demo_certificates.ready(NAMES, NOW)

    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
    with_key = {path.name for path in folder.iterdir() if b"PRIVATE KEY" in path.read_bytes()}
    assert with_key == {"root-with-key.pem", "site-with-key.pem"}
    assert {modes[name] for name in with_key} == {0o600}
    assert set(modes) == {*with_key, "root.crt", "lock"}


def test_a_folder_that_cannot_be_had_is_refused_with_a_way_on(folder: Path):
    folder.write_text("a file where the folder should be")

    with pytest.raises(demo_certificates.CertificatesNotKept, match="LOOPWRIGHT_DATA"):
        demo_certificates.ready(NAMES, NOW)
