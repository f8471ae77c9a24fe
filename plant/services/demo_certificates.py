"""The demo's certificates, kept in the data folder: used again while they hold, else renewed."""

import fcntl
import os
import secrets
import socket
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature

from plant.config import data_folder
from plant.errors import DomainError
from plant.services import certificate_making
from plant.services.certificate_making import Pair
from plant.services.demo_names import Names

# Nobody's demo runs longer than this without being started again.
RENEWED_BEFORE_END = timedelta(days=30)


# A file cut short, written by hand or by another program; a root that was made anew since.
_SPOILT = (ValueError, TypeError, IndexError, x509.ExtensionNotFound, InvalidSignature)

_FOR_ALL, _FOR_THE_OWNER = 0o644, 0o600


class CertificatesNotKept(DomainError):
    code = "certificates_not_kept"


@dataclass(frozen=True)
class Certificates:
    """Where they lie: the root to be trusted, and key with chain for the web server."""

    root: Path
    site: Path
    fingerprint: str
    replaces_earlier_root: bool


def ready(names: Names, now: datetime) -> Certificates:
    """Certificates that hold for these names; makes what is missing, spoilt or near its end.

    Refuses with CertificatesNotKept when the data folder can be neither read nor written.
    """
    folder = data_folder.data_folder() / "local-tls"
    try:
        data_folder.make_folder(folder)
        # Of two commands started together, the second uses what the first has made.
        with (folder / "lock").open("a") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            return _ready(folder, names, now)
    except OSError as error:
        raise CertificatesNotKept(
            f"The certificates in {folder} can be neither read nor made ({error.strerror}). "
            "Run this as the user who owns that folder, or set LOOPWRIGHT_DATA to one of your own."
        ) from error


def _ready(folder: Path, names: Names, now: datetime) -> Certificates:
    machine = socket.gethostname()
    # Key and certificate share a file: a power cut leaves both or neither.
    root_file, site_file = folder / "root-with-key.pem", folder / "site-with-key.pem"
    root = _kept(
        root_file, now, lambda one: certificate_making.may_vouch_for(one.certificate, names)
    )
    replaces_earlier_root = root is None and root_file.exists()
    if root is None:
        root = certificate_making.make_root(machine, names, now)
        _put(root_file, root.key_as_pem() + root.certificate_as_pem(), _FOR_THE_OWNER)
    if _kept(site_file, now, lambda one: _is_vouched_for(one, root, names)) is None:
        site = certificate_making.make_site(root, machine, names, now)
        chain = site.certificate_as_pem() + root.certificate_as_pem()
        _put(site_file, site.key_as_pem() + chain, _FOR_THE_OWNER)
    open_file = folder / "root.crt"
    _put(open_file, root.certificate_as_pem(), _FOR_ALL)
    fingerprint = certificate_making.fingerprint(root.certificate)
    return Certificates(open_file, site_file, fingerprint, replaces_earlier_root)


def _kept(path: Path, now: datetime, serves: Callable[[Pair], bool]) -> Pair | None:
    try:
        pair = certificate_making.pair_from_pem(path.read_bytes())
        ends_at = pair.certificate.not_valid_after_utc
        holds = pair.certificate.not_valid_before_utc <= now < ends_at - RENEWED_BEFORE_END
        return pair if holds and serves(pair) else None
    except (FileNotFoundError, *_SPOILT):
        return None


def _is_vouched_for(site: Pair, root: Pair, names: Names) -> bool:
    site.certificate.verify_directly_issued_by(root.certificate)
    told = certificate_making.names_in(site.certificate)
    return set(names.hosts) <= set(told.hosts) and set(names.addresses) <= set(told.addresses)


def _put(path: Path, content: bytes, mode: int) -> None:
    """Put a whole file in place at once."""
    draft = path.with_name(f"{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
