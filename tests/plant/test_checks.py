import pytest

from plant.config import checks

ALL = [
    checks.check_secret_key,
    checks.check_broker,
    checks.check_days_of_feeds,
    checks.check_tls,
    checks.check_debug,
    checks.check_database_is_safe,
    checks.check_mail,
]


@pytest.fixture
def sound(settings: object, monkeypatch: pytest.MonkeyPatch) -> object:
    """A site others can reach, with nothing to be said against it."""
    monkeypatch.delenv("LOOPWRIGHT_POSTGRES_FAST", raising=False)
    settings.SECRET_KEY = "k" * 50
    settings.ALLOWED_HOSTS = ["belts.example"]
    settings.BEHIND_TLS = True
    settings.DEBUG = False
    settings.BROKER_URL = "redis://cache.example:6379/0"
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    return settings


def found() -> list[str]:
    return [message.id for check in ALL for message in check()]


def test_sound_site_is_told_nothing(sound: object):
    assert found() == []


@pytest.mark.parametrize(
    ("setting", "value", "number"),
    [
        ("SECRET_KEY", "k" * 31, "loopwright.E001"),
        ("BROKER_URL", "http://cache.example", "loopwright.E002"),
        ("FEED_KEPT_DAYS", 0, "loopwright.E007"),
        ("FEED_MOST_WAITING", -1, "loopwright.E007"),
        ("BEHIND_TLS", False, "loopwright.W003"),
        ("DEBUG", True, "loopwright.W004"),
        ("EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend", "loopwright.W006"),
    ],
)
def test_unsafe_setting_is_named_with_a_hint(
    sound: object, setting: str, value: object, number: str
):
    setattr(sound, setting, value)

    assert found() == [number]
    assert all(message.hint for check in ALL for message in check())


def test_fast_database_on_a_site_others_reach_is_named(
    sound: object, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("LOOPWRIGHT_POSTGRES_FAST", "1")

    assert found() == ["loopwright.W005"]


def test_site_for_this_machine_only_may_do_without_tls_and_mail(sound: object):
    sound.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
    sound.BEHIND_TLS = False
    sound.DEBUG = True
    sound.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"

    assert found() == []


def test_working_without_a_broker_is_fine(sound: object):
    sound.BROKER_URL = ""

    assert found() == []
