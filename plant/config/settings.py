"""All settings, read from the environment once.

Importing this module starts nothing: the type checker, collectstatic and makemigrations do so.
Every variable has a line in .env.example and in DEVELOPERS.md.
"""

import warnings
from pathlib import Path

from csp.constants import NONE, SELF

from plant.config import data_folder, environment, secret_key

BASE_DIR = Path(__file__).resolve().parents[2]

DEBUG = environment.flag("DEBUG")
SECRET_KEY = environment.text("SECRET_KEY") or secret_key.key_kept_in_data_folder()
ALLOWED_HOSTS = environment.words("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words("CSRF_TRUSTED_ORIGINS")

INSTALLED_APPS = [
    "workorders",
    "diagnostics",
    "plant",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.postgres",
    "django.forms",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "rest_framework_api_key",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "drf_standardized_errors",
    "csp",
    "axes",
    "pgtrigger",
    "pghistory",
]

MIDDLEWARE = [
    "plant.request_counting.CountsRequests",
    "plant.middleware.BodyOfBoundedSize",
    "plant.api.answers.AnswersOfTheApi",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "plant.api.pace.TellsThePace",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "plant.middleware.PasswordOfOnesOwn",
    "plant.middleware.WritesDownWho",
    "plant.middleware.SessionStaysFresh",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "diagnostics.middleware.OneEditionAPage",
]

ROOT_URLCONF = "plant.config.urls"
WSGI_APPLICATION = "plant.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "plant.context.sheet",
            ],
        },
    },
]
FORM_RENDERER = "plant.forms.SheetFormRenderer"

DATABASES = {
    "default": {
        **(
            environment.postgres_url("DATABASE_URL")
            # Starts the wheel's own server at the first connection, not before.
            or {"ENGINE": "plant.config.local_postgres", "NAME": "loopwright"}
        ),
        "CONN_MAX_AGE": environment.whole_number("CONN_MAX_AGE", 60),
        "CONN_HEALTH_CHECKS": True,
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Celery, when a broker is there; without one, owed work runs in the process after commit.
BROKER_URL = environment.text("BROKER_URL")

AUTH_USER_MODEL = "plant.User"
SESSION_ENGINE = "plant.sessions"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
# A long shift after the last request; whoever ticks "keep me signed in" stays for 30 days.
SESSION_COOKIE_AGE = 12 * 3600
PASSWORD_RESET_TIMEOUT = 6 * 3600
AXES_FAILURE_LIMIT = 8
AXES_RESET_ON_SUCCESS = True
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "plant/account/locked_out.html"
AXES_VERBOSE = False

EMAIL_BACKEND = environment.text("EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")
EMAIL_HOST = environment.text("EMAIL_HOST", "localhost")
EMAIL_PORT = environment.whole_number("EMAIL_PORT", 25)
EMAIL_HOST_USER = environment.text("EMAIL_HOST_USER")
EMAIL_HOST_PASSWORD = environment.text("EMAIL_HOST_PASSWORD")
EMAIL_USE_TLS = environment.flag("EMAIL_USE_TLS")
DEFAULT_FROM_EMAIL = environment.text("DEFAULT_FROM_EMAIL", "loopwright@localhost")
# Mail that nobody's request asked for has no other way to know where the site is.
SITE_ADDRESS = environment.text("SITE_ADDRESS").rstrip("/")

LANGUAGE_CODE = "en"
USE_I18N = True
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "plant.chart_drawer.ChartDrawerFinder",
]
STATIC_ROOT = Path(environment.text("STATIC_ROOT") or BASE_DIR / "staticfiles")
# Until collectstatic has written its list (the demo, the tests) files come from the applications.
WHITENOISE_USE_FINDERS = not (STATIC_ROOT / "staticfiles.json").exists()
if WHITENOISE_USE_FINDERS:
    # Said by WhiteNoise about the missing folder, which is missing on purpose.
    warnings.filterwarnings("ignore", message="No directory at", category=UserWarning)
# What people send in: sensor files and photos. Served by pages alone, never by its own address.
MEDIA_ROOT = environment.text("MEDIA_ROOT") or data_folder.data_folder() / "files"
STORAGES = {
    "default": {
        "BACKEND": environment.text("FILE_STORAGE", "django.core.files.storage.FileSystemStorage")
    },
    # Not chosen by what was collected: then the first collectstatic would write no list.
    "staticfiles": {"BACKEND": "plant.collected_files.CollectedFiles"},
}

# How long the change feeds keep a change, and how many requests of the site may wait for one.
FEED_KEPT_DAYS = environment.whole_number("FEED_KEPT_DAYS", 90)
FEED_MOST_WAITING = environment.whole_number("FEED_MOST_WAITING", 4)
# Where webhooks may go although it is no public address: nowhere, unless it is listed.
WEBHOOK_PRIVATE_TARGETS = environment.private_targets("WEBHOOK_PRIVATE_TARGETS")

# Root of the folders in which other systems get and leave files; unset: there are none.
LOOPWRIGHT_EXCHANGE = environment.text("LOOPWRIGHT_EXCHANGE")

# Opens /metrics to whoever sends it as a bearer token; unset: there is none, nothing is counted.
METRICS_TOKEN = environment.text("METRICS_TOKEN")
# Requests a minute of each key that says nothing else; 0 for no limit.
API_REQUESTS_PER_MINUTE = environment.whole_number("API_REQUESTS_PER_MINUTE", 600)

BEHIND_TLS = environment.flag("BEHIND_TLS")
# Named by `manage.py demo --tls`: the web process itself does TLS with a certificate of this root.
LOCAL_ROOT_CERTIFICATE = environment.text("LOCAL_ROOT_CERTIFICATE")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_TLS or bool(LOCAL_ROOT_CERTIFICATE)
if LOCAL_ROOT_CERTIFICATE:
    # Browsers keep cookies by host, not by port, and let no page without TLS replace a secure one:
    # under the same names, the demo without TLS could not be signed in to any more.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
SECURE_SSL_REDIRECT = BEHIND_TLS
# Not for the demo's own TLS: a browser would refuse every other http://localhost for a year.
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_TLS else 0
if BEHIND_TLS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# Probes reach the process inside the plant's network, without the proxy's TLS.
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$", r"^metrics$"]
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["plant.api.keys.KeyAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["plant.api.keys.KeyMayDoThis"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["plant.api.parsing.BoundedJSONParser"],
    "DEFAULT_PAGINATION_CLASS": "plant.api.paging.NewestFirst",
    "DEFAULT_METADATA_CLASS": "plant.api.keys.WhatAKeyMayDo",
    "DEFAULT_SCHEMA_CLASS": "plant.api.read_schema.Operation",
    "EXCEPTION_HANDLER": "plant.config.api_errors.problem_document",
    "DEFAULT_VERSIONING_CLASS": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Loopwright",
    "DESCRIPTION": (
        "Complaints about mistracking conveyor belts and the work orders that follow. A key sees "
        "one plant. Lists are paged by cursor; `/changes` of a resource tells each change of it, "
        "at least once and in the order of commits, to whoever follows its cursor; instants are "
        "UTC, ISO 8601 with Z; numbers carry their unit in the name; every error is a problem "
        "document (RFC 9457) with a stable `code`. A field or parameter nobody knows is refused, "
        "with the nearest that there is. Whoever changes a row that is there says which "
        "version of it (`If-Match`); every POST can be sent again under its `Idempotency-Key`; "
        "`/bulk` takes several items at once, with a result for each. A key of a connected system "
        "asks and is answered in that system's words, unless it says `words=ours`."
    ),
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": r"/api/v1",
    "ENUM_NAME_OVERRIDES": {
        "CaseState": "diagnostics.api.case_serializers.CASE_STATES",
        "CaseStateByHand": "diagnostics.api.case_moves.STATES_BY_HAND",
        "ConditionQuantity": "plant.api.condition_serializers.CONDITIONS",
        "MeterQuantity": "plant.api.meter_serializers.QUANTITIES",
        "OrderState": "workorders.api.serializers.ORDER_STATES",
        "ComponentKind": "plant.api.words.COMPONENT_KINDS",
        "Zone": "plant.api.words.ZONES",
        "Side": "plant.api.words.SIDES",
        "ChangeKind": "plant.api.feed_views.CHANGE_KINDS",
        "PartKind": "workorders.api.stock.PART_KINDS",
    },
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "plant.api.read_schema.reading_described",
        "plant.api.schema.errors_as_problem_documents",
        "plant.api.webhook_schema.webhooks_described",
    ],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"record": {"()": "plant.config.logs.record_formatter"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "record"}},
    "root": {"handlers": ["console"], "level": environment.text("LOG_LEVEL", "INFO")},
    "loggers": {"axes": {"level": "WARNING"}},
}
