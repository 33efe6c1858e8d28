"""Settings of the local application. What differs from start to start comes from the environment.

``LEVIGATE_DATA`` is the folder of the records; ``LEVIGATE_DATABASE_URL`` puts them into PostgreSQL instead of the
embedded file; ``LEVIGATE_TOKEN`` is the key of this start. `levigate open` sets all three.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF
from platformdirs import user_data_path

HERE = Path(__file__).parent
DATA = Path(os.environ.get("LEVIGATE_DATA") or user_data_path("levigate", appauthor=False))


def _secret() -> str:
    """Return the secret that signs cookies: kept in the data folder, readable by its owner only."""
    path = DATA / "secret"
    try:
        return path.read_text(encoding="ascii")
    except OSError:
        DATA.mkdir(parents=True, exist_ok=True)
        secret = secrets.token_urlsafe(48)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secret)
        return secret


def _database() -> dict[str, Any]:
    url = os.environ.get("LEVIGATE_DATABASE_URL")
    if url:
        return dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(DATA / "workshop.sqlite3"),
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            # A writer that waits for another is told only after so many seconds that it cannot have its turn.
            "timeout": 20,
            # Take the write lock when a transaction begins: two that read first and write later would both fail.
            "transaction_mode": "IMMEDIATE",
            "init_command": (
                # Readers go on while one writes, and a killed program leaves a log that is played back.
                "PRAGMA journal_mode=WAL;"
                # A weighing that was answered for is on the disk, even if the power goes.
                "PRAGMA synchronous=FULL;"
                # A lot with weighings cannot vanish from under them.
                "PRAGMA foreign_keys=ON;"
                # What REPLACE would push out is deleted like anything else: what is kept refuses that too.
                "PRAGMA recursive_triggers=ON;"
                # Sorting and counting in memory, not in files beside the records.
                "PRAGMA temp_store=MEMORY;"
                # Pages of the file kept at hand. [KiB]
                "PRAGMA cache_size=-16000;"
            ),
        },
    }


SECRET_KEY = _secret()
DEBUG = False
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]
#: Key that the browser must show once; empty refuses everything.
LEVIGATE_TOKEN = os.environ.get("LEVIGATE_TOKEN", "")

DATABASES = {"default": _database()}
INSTALLED_APPS = [
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "levigate.records.apps.RecordsConfig",
    "levigate.web.apps.WebConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "levigate.web.access.TokenMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "levigate.web.preferences.PreferencesMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "csp.middleware.CSPMiddleware",
    "levigate.web.trouble.TroubleMiddleware",
]
ROOT_URLCONF = "levigate.web.urls"
WSGI_APPLICATION = "levigate.web.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HERE / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.csrf",
                "django.contrib.messages.context_processors.messages",
                "levigate.web.preferences.preferences",
            ],
            "builtins": ["django.templatetags.i18n", "django.templatetags.static", "levigate.web.templatetags.say"],
            "string_if_invalid": "",
        },
    },
]

# Signed cookies would lose what is in them when the secret goes; the records hold it instead.
SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_NAME = "levigate_session"
SESSION_COOKIE_SAMESITE = "Strict"
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_NAME = "levigate_csrf"
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_HTTPONLY = True
CSRF_USE_SESSIONS = False
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "manifest-src": [SELF],
    }
}

#: What may be sent: a form of text, and a paper or an archive as a file. [bytes]
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 20
LEVIGATE_LARGEST_PAPER = 20_000_000
LEVIGATE_LARGEST_ARCHIVE = 500_000_000

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [HERE / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = os.environ.get("LEVIGATE_TIME_ZONE", "UTC")
STATIC_URL = "/static/"
STATIC_ROOT = None
# Files are served as they lie in the package: nothing to collect before the first start.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 3600
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"err": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["err"], "level": "WARNING"},
}
