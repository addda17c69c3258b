"""Settings, one file. Everything that differs between machines comes from the environment (see config/env.py).

Nothing here touches the database, the network or the disk, so that commands that need no database start at once.
"""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from config import env
from config.schedule import SCHEDULE

BASE_DIR = Path(__file__).resolve().parent.parent
LOCAL_FOLDER = Path(env.text("PIECEWALL_LOCAL", "") or BASE_DIR / ".local")
DEBUG = env.flag("PIECEWALL_DEBUG", default=False)
ALLOWED_HOSTS = env.items("PIECEWALL_HOSTS", "127.0.0.1,localhost,[::1],testserver")
# Served to this machine alone, over plain HTTP; any other host is taken for a site that people reach over TLS.
LOOPBACK_ONLY = set(ALLOWED_HOSTS) <= {"127.0.0.1", "localhost", "[::1]", "testserver"}
# On one machine alone a key made for this process will do: people sign in again after a restart.
SECRET_KEY = env.secret("PIECEWALL_SECRET_KEY", otherwise=secrets.token_urlsafe(50) if LOOPBACK_ONLY or DEBUG else None)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "django_htmx",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "jobs",
    "payroll",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "jobs.bodies.bounded_bodies",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]

# Two roles on one database: `default` is the application (bound by row security and triggers),
# `owner` owns the tables and is used by `migrate --database owner` alone.
_APP_URL = env.text("DATABASE_URL", "postgresql://piecewall_app@localhost/piecewall")
_OWNER_URL = env.text("DATABASE_OWNER_URL", "postgresql://piecewall_owner@localhost/piecewall")
DATABASES: dict[str, dict[str, Any]] = {
    # Each view runs in one transaction: the organisation in scope is set with SET LOCAL and ends with it.
    "default": env.database(_APP_URL)
    | {"ATOMIC_REQUESTS": True, "CONN_MAX_AGE": 60, "CONN_HEALTH_CHECKS": True, "TEST": {"MIRROR": "owner"}},
    "owner": env.database(_OWNER_URL),
}
# Statements whose values travel apart are kept planned from the first time on (see jobs/prepared.py); all others are
# sent whole, as ever.
DATABASES["default"]["OPTIONS"]["prepare_threshold"] = 0
# Migrations grant to this role what the application may do.
DATABASE_APP_ROLE = DATABASES["default"]["USER"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "jobs.User"
LOGIN_URL = "/sign-in/"
LOGIN_REDIRECT_URL = "/"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

_TLS = env.flag("PIECEWALL_TLS", default=not (LOOPBACK_ONLY or DEBUG))
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = _TLS
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_SSL_REDIRECT = _TLS
SECURE_HSTS_SECONDS = 31_536_000 if _TLS else 0
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CSRF_FAILURE_VIEW = "jobs.pages.errors.form_too_old"
CSRF_TRUSTED_ORIGINS = env.items("PIECEWALL_ORIGINS", "")
# How many proxies stand before the site and each add the sender's address to X-Forwarded-For. With 0 that header is
# never read: whoever sends a request could write anything into it (see jobs/networks.py).
PROXY_COUNT = env.number("PIECEWALL_PROXIES", 0)
# Only behind a proxy that sets this header itself; otherwise anyone could claim that a request came over TLS.
if env.flag("PIECEWALL_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# Mail is written to the worker's log unless a mail server is named. Links in it lead to SITE_URL, never to the host
# that a request names: whoever sends the request may choose that one. Statements print it to be checked at.
_MAIL = env.mail(env.text("PIECEWALL_MAIL", "console:"))
EMAIL_BACKEND = _MAIL.pop("EMAIL_BACKEND")
globals().update(_MAIL)
EMAIL_TIMEOUT = 20
SITE_URL = env.text("PIECEWALL_SITE_URL", f"https://{ALLOWED_HOSTS[0]}" if _TLS else "http://127.0.0.1:8000").rstrip(
    "/"
)
DEFAULT_FROM_EMAIL = env.text("PIECEWALL_MAIL_FROM", f"Piecewall <piecewall@{urlsplit(SITE_URL).hostname}>")
PASSWORD_RESET_TIMEOUT = 60 * 60
# What an app shows beside the codes. Guessing is slowed by jobs/throttle.py, which nobody can turn against the owner.
OTP_TOTP_ISSUER = "Piecewall"
OTP_TOTP_THROTTLE_FACTOR = OTP_STATIC_THROTTLE_FACTOR = 0

# Languages of the pages that workers meet: those of jobs/wording. A browser keeps the one that was chosen in it.
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español"), ("fr", "Français")]
LANGUAGE_COOKIE_NAME = "piecewall_language"
LANGUAGE_COOKIE_AGE = 365 * 24 * 60 * 60
LANGUAGE_COOKIE_SECURE = _TLS
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = Path(env.text("PIECEWALL_STATIC_ROOT", str(LOCAL_FOLDER / "static")))
# Collected files carry a hash in their name; straight from source serves tests and changes by hand.
WHITENOISE_USE_FINDERS = env.flag("PIECEWALL_STATIC_FROM_SOURCE", default=DEBUG)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if WHITENOISE_USE_FINDERS
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

REST_FRAMEWORK = {
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    # Closed unless a view opens itself: a device's token, then the permission table.
    "DEFAULT_AUTHENTICATION_CLASSES": ["jobs.api.door.DeviceAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["jobs.api.door.TablePermission"],
    "EXCEPTION_HANDLER": "jobs.api.problems.exception_handler",
    "UNAUTHENTICATED_USER": None,
    "DEFAULT_PAGINATION_CLASS": "config.pagination.NewestFirst",
    "COERCE_DECIMAL_TO_STRING": True,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Piecewall",
    "DESCRIPTION": "Walls, entries and hours of piece work, and the weeks paid from them.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "jobs.api.schema_hooks.null_as_a_type",
    ],
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "COMPONENT_SPLIT_REQUEST": True,
}

REDIS_URL = env.text("REDIS_URL", "redis://127.0.0.1:6379/0")
# Deployments that share one Redis keep apart by this prefix.
REDIS_PREFIX = env.text("PIECEWALL_REDIS_PREFIX", "piecewall:")
CELERY_BROKER_URL = env.text("CELERY_BROKER_URL", REDIS_URL)
CELERY_RESULT_BACKEND = env.text("CELERY_RESULT_BACKEND", REDIS_URL)
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any]
if CELERY_BROKER_URL.startswith("filesystem:"):
    # A machine without Redis: messages are files. Good for one worker on one machine; a message is gone once taken.
    _QUEUE = env.text("PIECEWALL_QUEUE_FOLDER", str(BASE_DIR / ".local" / "queue"))
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": f"{_QUEUE}/messages",
        "data_folder_out": f"{_QUEUE}/messages",
        "control_folder": f"{_QUEUE}/control",
    }
else:
    # A message not acknowledged is given out again after the visibility timeout: longer than any task may run.
    CELERY_BROKER_TRANSPORT_OPTIONS = {"global_keyprefix": REDIS_PREFIX, "visibility_timeout": 3600}
CELERY_RESULT_BACKEND_TRANSPORT_OPTIONS = {"global_keyprefix": REDIS_PREFIX}
CELERY_TASK_SERIALIZER = "json"
CELERY_RESULT_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
# Acknowledged when done: a worker that dies gives its task back, so every task may run twice and must allow it.
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_SOFT_TIME_LIMIT = 15 * 60
CELERY_TASK_TIME_LIMIT = 20 * 60
CELERY_TASK_TRACK_STARTED = True
CELERY_RESULT_EXPIRES = 24 * 60 * 60
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
# What the console back-end prints of a mail stays as it is, instead of a log line for each of its lines.
CELERY_WORKER_REDIRECT_STDOUTS = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = TIME_ZONE
CELERY_BEAT_SCHEDULE = SCHEDULE

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "filters": {"short": {"()": "config.logs.ShortRefusals"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["short"]}},
    "root": {"handlers": ["console"], "level": env.text("PIECEWALL_LOG_LEVEL", "WARNING").upper()},
}
