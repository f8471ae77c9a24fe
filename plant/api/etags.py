"""Versions on the wire (RFC 9110, section 13): `ETag`, `If-Match`, `If-None-Match`.

The ETag of one row is `"<version>-<digest>"`. The digest is that of the answer, so that it tells
sparse fields, other words and changed neighbours apart; for a write only the version counts, and
`If-Match: "<version>"`, as lists and feeds give it, does as well as the whole ETag.
"""

import hashlib
import re
from typing import Any

from rest_framework import status
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.request import Request

IF_MATCH = "If-Match"
# As RFC 9110, section 8.8.3, writes them; commas may stand inside.
_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e\x80-\xff]*)"')
_A_TAG = "\0"
_VERSION = re.compile(r"([0-9]{1,9})(?:-[0-9A-Za-z-]+)?")
# A list of versions is a courtesy; nobody has seen so many states of one row.
_LONGEST = 2000


class PreconditionRequired(APIException):
    status_code = status.HTTP_428_PRECONDITION_REQUIRED
    default_code = "precondition_required"
    default_detail = (
        "Say which state you change: send the ETag of the row as If-Match, or its version in "
        'quotes, such as If-Match: "3". If-Match: * changes whatever stands there.'
    )


class PreconditionFailed(APIException):
    status_code = status.HTTP_412_PRECONDITION_FAILED
    default_code = "precondition_failed"
    default_detail = (
        "No ETag of If-Match is one of this row. Send the one of the row as it is now, or its "
        'version in quotes, such as If-Match: "3".'
    )


def expected_version(request: Request, present: int | None = None) -> int | None:
    """The version that `If-Match` says is changed, for the `version` of a service; None is any.

    The service compares it under its lock. Of several, the one that is `present` where the view
    knows that, else the first. Refuses with 428 without the header, 400 when it is no list of
    ETags, 412 when none of them could be a version of a row.
    """
    text = request.headers.get(IF_MATCH, "").strip()
    if not text:
        raise PreconditionRequired
    if text == "*":
        return None
    versions = [version for tag in _strong_tags(text) if (version := _version(tag)) is not None]
    if not versions:
        raise PreconditionFailed
    return present if present in versions else versions[0]


def etag_of(body: bytes, version: int | None = None) -> str:
    digest = hashlib.blake2b(body, digest_size=12).hexdigest()
    return f'"{digest}"' if version is None else f'"{version}-{digest}"'


def is_known(etag: str, if_none_match: str) -> bool:
    """Whether the asker has it already; weakly compared, as the RFC says, and compressed or not."""
    if if_none_match.strip() == "*":
        return True
    if not _is_list(if_none_match):
        # What cannot be read asks for nothing.
        return False
    known = {_uncompressed(opaque) for _weak, opaque in _TAG.findall(if_none_match)}
    return _uncompressed(etag.strip('"')) in known


COMPRESSED = "-gzip"


def compressed(etag: str) -> str:
    """Other bytes, another ETag: strong ones stay so."""
    return f'{etag[:-1]}{COMPRESSED}"'


def _uncompressed(opaque: str) -> str:
    return opaque.removesuffix(COMPRESSED)


def _strong_tags(text: str) -> list[str]:
    if not _is_list(text):
        raise ValidationError(
            {IF_MATCH: 'Give an ETag in quotes, such as "3", several with commas, or *.'},
            code="invalid_etag",
        )
    # A weak one never matches a write, says the RFC; the version alone is never weak.
    return [opaque for weak, opaque in _TAG.findall(text) if not weak]


def _is_list(text: str) -> bool:
    if len(text) > _LONGEST:
        return False
    between = {part.strip(" \t") for part in _TAG.sub(_A_TAG, text).split(",")}
    return _A_TAG in between and between <= {_A_TAG, ""}


def _version(opaque: str) -> int | None:
    found = _VERSION.fullmatch(opaque)
    return int(found[1]) if found else None


def keep_version(answer: Any) -> None:
    """Before its body is put into other words, in which a version may have another name."""
    answer.version_told = version_told(answer)


def version_told(answer: Any) -> int | None:
    """The version an answer tells of its row, if it does."""
    if hasattr(answer, "version_told"):
        kept: int | None = answer.version_told
        return kept
    version = answer.data.get("version") if isinstance(answer.data, dict) else None
    return version if isinstance(version, int) else None
