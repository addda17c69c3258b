"""Settings, one file. Everything that differs between machines comes from the environment (see config/env.py)."""

from __future__ import annotations

from pathlib import Path

from config import env

BASE_DIR = Path(__file__).resolve().parent.parent
DEBUG = env.flag("PIECEWALL_DEBUG", default=False)
SECRET_KEY = env.text("PIECEWALL_SECRET_KEY", "only-for-this-machine-set-PIECEWALL_SECRET_KEY-elsewhere")
ALLOWED_HOSTS = env.items("PIECEWALL_HOSTS", "127.0.0.1,localhost,[::1],testserver")

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
    "jobs",
    "payroll",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
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
DATABASES = {
    # Each view runs in one transaction: the organisation in scope is set with SET LOCAL and ends with it.
    "default": env.database(_APP_URL) | {"ATOMIC_REQUESTS": True, "TEST": {"MIRROR": "owner"}},
    "owner": env.database(_OWNER_URL),
}
# Migrations grant to this role what the application may do.
DATABASE_APP_ROLE = DATABASES["default"]["USER"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "jobs.User"
LOGIN_URL = "/sign-in/"
LOGIN_REDIRECT_URL = "/"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]

LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_TZ = True
STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / ".local" / "static"
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
    "COERCE_DECIMAL_TO_STRING": True,
}

REDIS_URL = env.text("REDIS_URL", "redis://127.0.0.1:6379/0")
# Deployments that share one Redis keep apart by this prefix.
REDIS_PREFIX = env.text("PIECEWALL_REDIS_PREFIX", "piecewall:")
CELERY_BROKER_TRANSPORT_OPTIONS = {"global_keyprefix": REDIS_PREFIX}
CELERY_RESULT_BACKEND_TRANSPORT_OPTIONS = {"global_keyprefix": REDIS_PREFIX}
CELERY_BROKER_URL = env.text("CELERY_BROKER_URL", REDIS_URL)
CELERY_RESULT_BACKEND = env.text("CELERY_RESULT_BACKEND", REDIS_URL)
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
