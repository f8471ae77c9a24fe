"""A root certificate of this machine's own, and site certificates that it vouches for.

Phones accept a site certificate of a root they were told to trust when it names the address in its
subject alternative names, serves TLS only and lives no longer than some 13 months.
"""

import ipaddress
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Network, IPv6Network

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from plant.services.demo_names import Names

ROOT_LIVES = timedelta(days=5 * 365)
SITE_LIVES = timedelta(days=397)
# A phone whose clock is behind must not take it for one of the future.
_BACKDATED = timedelta(days=1)
_LONGEST_COMMON_NAME = 64
# Loopback, RFC 1918, RFC 6598, RFC 4193: addresses that mean something on one network only.
_PRIVATE = (
    "127.0.0.0/8",
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "100.64.0.0/10",
    "::1/128",
    "fc00::/7",
)

Network = IPv4Network | IPv6Network


@dataclass(frozen=True)
class Pair:
    """A certificate and the key it belongs to."""

    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate

    def key_as_pem(self) -> bytes:
        return self.key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )

    def certificate_as_pem(self) -> bytes:
        return self.certificate.public_bytes(serialization.Encoding.PEM)


def pair_from_pem(content: bytes) -> Pair:
    """Key and first certificate of one file; ValueError when they are not there or no pair."""
    key = serialization.load_pem_private_key(content, password=None)
    certificate = x509.load_pem_x509_certificates(content)[0]
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != (
        certificate.public_key()
    ):
        raise ValueError("the key does not belong to the certificate")
    return Pair(key, certificate)


def make_root(machine: str, names: Names, now: datetime) -> Pair:
    """A root that can vouch for nothing but these hosts and for addresses of private networks.

    Whoever trusts it on a phone does not hand this machine the rest of the internet with it.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    name = _called(f"Loopwright demo root of {machine}")
    builder = _started(key, subject=name, issuer=name, issuer_key=key, now=now)
    builder = builder.not_valid_after(now + ROOT_LIVES)
    usage = _usage(digital_signature=False, key_cert_sign=True, crl_sign=True)
    builder = builder.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    builder = builder.add_extension(usage, critical=True)
    builder = builder.add_extension(_confined_to(names), critical=True)
    return Pair(key, builder.sign(key, hashes.SHA256()))


def make_site(root: Pair, machine: str, names: Names, now: datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    subject, issuer = _called(f"Loopwright demo on {machine}"), root.certificate.subject
    builder = _started(key, subject=subject, issuer=issuer, issuer_key=root.key, now=now)
    builder = builder.not_valid_after(min(now + SITE_LIVES, root.certificate.not_valid_after_utc))
    hosts = [x509.DNSName(one) for one in names.hosts]
    addresses = [x509.IPAddress(one) for one in names.addresses]
    serves = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    builder = builder.add_extension(
        x509.BasicConstraints(ca=False, path_length=None), critical=True
    )
    builder = builder.add_extension(_usage(digital_signature=True), critical=True)
    builder = builder.add_extension(serves, critical=False)
    builder = builder.add_extension(
        x509.SubjectAlternativeName([*hosts, *addresses]), critical=False
    )
    return Pair(key, builder.sign(root.key, hashes.SHA256()))


def names_in(site: x509.Certificate) -> Names:
    told = site.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return Names(
        hosts=tuple(told.get_values_for_type(x509.DNSName)),
        addresses=tuple(told.get_values_for_type(x509.IPAddress)),  # type: ignore[arg-type]
    )


def may_vouch_for(root: x509.Certificate, names: Names) -> bool:
    confined = root.extensions.get_extension_for_class(x509.NameConstraints).value
    permitted = confined.permitted_subtrees or []
    hosts = {one.value for one in permitted if isinstance(one, x509.DNSName)}
    networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
    return set(names.hosts) <= hosts and all(
        any(one in network for network in networks)  # type: ignore[operator]
        for one in names.addresses
    )


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 as phones show it: pairs of digits."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _started(
    key: ec.EllipticCurvePrivateKey,
    *,
    subject: x509.Name,
    issuer: x509.Name,
    issuer_key: ec.EllipticCurvePrivateKey,
    now: datetime,
) -> x509.CertificateBuilder:
    ours = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    theirs = x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key())
    builder = x509.CertificateBuilder(issuer, subject, key.public_key())
    builder = builder.serial_number(x509.random_serial_number()).not_valid_before(now - _BACKDATED)
    return builder.add_extension(ours, critical=False).add_extension(theirs, critical=False)


def _called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:_LONGEST_COMMON_NAME])])


def _usage(
    *, digital_signature: bool, key_cert_sign: bool = False, crl_sign: bool = False
) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=digital_signature,
        key_cert_sign=key_cert_sign,
        crl_sign=crl_sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _confined_to(names: Names) -> x509.NameConstraints:
    networks: list[Network] = [ipaddress.ip_network(one) for one in _PRIVATE]
    for address in names.addresses:
        if not any(address in network for network in networks):
            networks.append(ipaddress.ip_network(address))
    hosts = [x509.DNSName(one) for one in names.hosts]
    return x509.NameConstraints(
        permitted_subtrees=[*hosts, *(x509.IPAddress(one) for one in networks)],
        excluded_subtrees=None,
    )
