"""Keys that other systems of an invented plant hold, and what was done to them since."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from plant.models import ApiKey, KeyLogEntry, Plant, User
from plant.roles import Role
from plant.services import changing_keys, keys
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read


def give_keys(plant: Plant, cast: Cast, now: datetime) -> None:
    by = cast.by_role[Role.ADMINISTRATOR][0]
    for said in read("keys.yaml")["keys"]:
        if said["plant"] == plant.code:
            _give(plant, said, by, now)


def _give(plant: Plant, said: dict[str, Any], by: User, now: datetime) -> None:
    at = now - timedelta(days=said["made_days_ago"])
    ends = said.get("ends_in_days")
    key, _secret = keys.make_key(
        name=said["name"],
        plant=plant,
        scopes=said["scopes"],
        expires_at=now + timedelta(days=ends) if ends else None,
        by=by,
        now=at,
    )
    ApiKey.objects.filter(pk=key.pk).update(created=at, last_used_at=now - timedelta(hours=1))
    _date(key, at)
    for name, do in _DEEDS.items():
        if name in said:
            done_at = now - timedelta(days=said[name]["days_ago"])
            do(key, said[name], by, done_at)
            _date(key, done_at)


def _change(key: ApiKey, said: dict[str, Any], by: User, at: datetime) -> None:
    changing_keys.change_key(
        prefix=key.prefix,
        version=key.version,
        name=key.name,
        scopes=set(key.scopes) - set(said["without"]),
        expires_at=key.expiry_date,
        requests_per_minute=said["requests_per_minute"],
        by=by,
        now=at,
    )


def _replace(key: ApiKey, said: dict[str, Any], by: User, at: datetime) -> None:
    until = at + timedelta(days=said["former_days"])
    changing_keys.replace_secret(prefix=key.prefix, former_until=until, by=by, now=at)
    if said["former_used"]:
        used_at = at + timedelta(hours=9)
        ApiKey.objects.filter(pk=key.pk).update(former_used_at=used_at)


def _revoke(key: ApiKey, said: dict[str, Any], by: User, at: datetime) -> None:
    keys.revoke_key(prefix=key.prefix, by=by)
    ApiKey.objects.filter(pk=key.pk).update(last_used_at=at - timedelta(hours=2))


_DEEDS: dict[str, Callable[[ApiKey, dict[str, Any], User, datetime], None]] = {
    "changed": _change,
    "replaced": _replace,
    "revoked": _revoke,
}


def _date(key: ApiKey, at: datetime) -> None:
    """The log is written with the deed, which here was long ago."""
    newest = KeyLogEntry.objects.filter(key=key).order_by("-pk")[:1]
    KeyLogEntry.objects.filter(pk__in=newest.values("pk")).update(at=at)
