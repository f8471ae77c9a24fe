"""Who asks and what their key may do: `Authorization: Api-Key <key>`.

A view names, for each method it has, the scope it needs in `scopes`; a method without one is
refused to every key, so that a new endpoint cannot be open by forgetting. Every request of a key
counts, also one that is refused.
"""

from datetime import datetime
from typing import Any, TypeVar

from django.contrib.auth.models import AnonymousUser
from django.db.models import Model, QuerySet
from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed, NotAuthenticated, PermissionDenied
from rest_framework.metadata import BaseMetadata
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from plant import access, acting
from plant.api import pace
from plant.models import ApiKey, Plant
from plant.services import keys
from plant.services.changing_keys import former_works

KEYWORD = "Api-Key"

Row = TypeVar("Row", bound=Model)


class KeyAuthentication(BaseAuthentication):
    """`request.auth` becomes the key; there is no person behind it."""

    def authenticate(self, request: Request) -> tuple[AnonymousUser, ApiKey] | None:
        word, _space, secret = request.headers.get("Authorization", "").partition(" ")
        if word.lower() != KEYWORD.lower():
            return None
        now = timezone.now()
        found = keys.key_with_secret(secret.strip(), now)
        if found is None:
            pace.count_failure(request)
            raise AuthenticationFailed("This key is not known here.", "key_unknown")
        key, of_former = found
        pace.count_request(request, key)
        _check_usable(key, of_former, now)
        keys.note_use(key=key, now=now, of_former=of_former)
        acting.by_key(key)
        return AnonymousUser(), key

    def authenticate_header(self, request: Request) -> str:
        return f'{KEYWORD} realm="Loopwright"'


def _check_usable(key: ApiKey, of_former: bool, now: datetime) -> None:
    if key.revoked:
        raise AuthenticationFailed("This key was revoked.", "key_revoked")
    if key.has_expired:
        raise AuthenticationFailed("This key has expired.", "key_expired")
    if of_former and not former_works(key, now):
        raise AuthenticationFailed("A new secret has replaced this one.", "key_replaced")


class KeyMayDoThis(BasePermission):
    def has_permission(self, request: Request, view: Any) -> bool:
        if not isinstance(request.auth, ApiKey):
            return False
        method = "GET" if request.method == "HEAD" else str(request.method)
        if method == "OPTIONS" or not hasattr(view, method.lower()):
            # A method the view does not have: the answer to come is 405.
            return True
        scope = getattr(view, "scopes", {}).get(method)
        if scope is None or scope not in request.auth.scopes:
            raise PermissionDenied(f"This key lacks the scope {scope}.", "scope_missing")
        return True


class WhatAKeyMayDo(BaseMetadata):
    """The answer to OPTIONS: the methods the asking key may use here, each with its scope."""

    def determine_metadata(self, request: Request, view: Any) -> dict[str, Any]:
        return {"methods": allowed_here(request, view)}


def allowed_here(request: Request, view: Any) -> dict[str, str]:
    scopes = getattr(view, "scopes", {})
    return {
        method: str(scope)
        for method, scope in sorted(scopes.items())
        if scope in key_of(request).scopes and hasattr(view, method.lower())
    }


def key_of(request: Request) -> ApiKey:
    """The asking key; views behind KeyMayDoThis have one."""
    if not isinstance(request.auth, ApiKey):
        raise NotAuthenticated
    return request.auth


def plants_of_key(request: Request) -> QuerySet[Plant]:
    """The one plant of the asking key, as a queryset for `access.of_plants`."""
    return Plant.objects.filter(pk=key_of(request).plant_id)


def rows_of_key(rows: QuerySet[Row], request: Request) -> QuerySet[Row]:
    """Those of the rows that belong to the plant of the asking key."""
    return access.of_plants(rows, plants_of_key(request))
