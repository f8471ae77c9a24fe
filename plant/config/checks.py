"""Numbered system checks: settings that start but should not be left so, with a hint each."""

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register

from plant.config import environment

_SHORTEST_KEY = 32
_SHORTEST_TOKEN = 24
_LOCAL_HOSTS = {"localhost", "127.0.0.1", "[::1]", ".localhost", "testserver"}
_BROKERS = {"redis", "rediss", "redis+socket"}


@register(Tags.security)
def check_secret_key(**_options: Any) -> list[CheckMessage]:
    if len(settings.SECRET_KEY) >= _SHORTEST_KEY:
        return []
    return [
        Error(
            f"SECRET_KEY has {len(settings.SECRET_KEY)} characters; sign-ins could be forged.",
            hint=f"Set it to at least {_SHORTEST_KEY} random characters, or leave it unset: then "
            "one is made and kept in the data folder.",
            id="loopwright.E001",
        )
    ]


@register(Tags.compatibility)
def check_broker(**_options: Any) -> list[CheckMessage]:
    scheme = urlsplit(settings.BROKER_URL).scheme
    if not settings.BROKER_URL or scheme in _BROKERS:
        return []
    return [
        Error(
            f"BROKER_URL names a broker of the kind {scheme!r}.",
            hint="Write it like redis://host:6379/0, or leave it unset to work without a broker.",
            id="loopwright.E002",
        )
    ]


@register(Tags.compatibility)
def check_days_of_feeds(**_options: Any) -> list[CheckMessage]:
    if settings.FEED_KEPT_DAYS >= 1 and settings.FEED_MOST_WAITING >= 0:
        return []
    return [
        Error(
            f"FEED_KEPT_DAYS is {settings.FEED_KEPT_DAYS} and FEED_MOST_WAITING "
            f"{settings.FEED_MOST_WAITING}.",
            hint="Keep changes for 1 day or more; let 0 requests wait, or more.",
            id="loopwright.E007",
        )
    ]


@register(Tags.security)
def check_metrics_token(**_options: Any) -> list[CheckMessage]:
    if not settings.METRICS_TOKEN or len(settings.METRICS_TOKEN) >= _SHORTEST_TOKEN:
        return []
    return [
        Error(
            f"METRICS_TOKEN has {len(settings.METRICS_TOKEN)} characters and could be guessed.",
            hint=f"Set it to at least {_SHORTEST_TOKEN} random characters, or leave it unset: then "
            "there is no /metrics.",
            id="loopwright.E008",
        )
    ]


@register(Tags.compatibility)
def check_limit_of_keys(**_options: Any) -> list[CheckMessage]:
    if settings.API_REQUESTS_PER_MINUTE >= 0:
        return []
    return [
        Error(
            f"API_REQUESTS_PER_MINUTE is {settings.API_REQUESTS_PER_MINUTE}.",
            hint="Set it to what a key may send in a minute, or to 0 for no limit.",
            id="loopwright.E009",
        )
    ]


@register(Tags.security)
def check_tls(**_options: Any) -> list[CheckMessage]:
    strangers = _hosts_beyond_this_machine()
    if settings.BEHIND_TLS or settings.LOCAL_ROOT_CERTIFICATE or not strangers:
        return []
    return [
        Warning(
            f"The site answers to {', '.join(strangers)} without TLS: passwords can be read on "
            "the way.",
            hint="Put a proxy with a certificate in front and set BEHIND_TLS=1.",
            id="loopwright.W003",
        )
    ]


@register(Tags.security)
def check_debug(**_options: Any) -> list[CheckMessage]:
    strangers = _hosts_beyond_this_machine()
    if not settings.DEBUG or not strangers:
        return []
    return [
        Warning(
            f"DEBUG is on and the site answers to {', '.join(strangers)}: errors show its inside.",
            hint="Unset DEBUG.",
            id="loopwright.W004",
        )
    ]


@register(Tags.database)
def check_database_is_safe(**_options: Any) -> list[CheckMessage]:
    if not (environment.flag("LOOPWRIGHT_POSTGRES_FAST") and _hosts_beyond_this_machine()):
        return []
    return [
        Warning(
            "LOOPWRIGHT_POSTGRES_FAST is on: a power cut may cost the whole database.",
            hint="It is for tests. Unset it.",
            id="loopwright.W005",
        )
    ]


@register(Tags.compatibility)
def check_mail(**_options: Any) -> list[CheckMessage]:
    goes_nowhere = settings.EMAIL_BACKEND.endswith("console.EmailBackend")
    if not (goes_nowhere and _hosts_beyond_this_machine()):
        return []
    return [
        Warning(
            "Mail goes to the log: a forgotten password can be reset by an administrator only.",
            hint="Set EMAIL_BACKEND=django.core.mail.backends.smtp.EmailBackend and EMAIL_HOST.",
            id="loopwright.W006",
        )
    ]


def _hosts_beyond_this_machine() -> list[str]:
    return [host for host in settings.ALLOWED_HOSTS if host not in _LOCAL_HOSTS]
