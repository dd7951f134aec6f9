"""Settings for every installation; each choice that a studio may change is read from the environment."""

import os
from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
import fontpkg_source_sans_3
from csp.constants import NONE, SELF

from studio.settings.logs import logging_options
from studio.settings.queue import queue_options

BASE_DIR = Path(__file__).resolve().parent.parent.parent
DATA_DIR = Path(os.environ.get("HANDLAID_DATA", BASE_DIR / "var")).resolve()


def _flag(name: str, default: str = "") -> bool:
    return os.environ.get(name, default).lower() in {"1", "true", "yes", "on"}


DEBUG = _flag("HANDLAID_DEBUG")
PUBLIC_URL = os.environ.get("HANDLAID_URL", "http://127.0.0.1:8000").rstrip("/")
HTTPS = PUBLIC_URL.startswith("https://")
# This machine's own names are always answered: health checks and the person at the keyboard use them.
ALLOWED_HOSTS = sorted(
    {"127.0.0.1", "localhost", "[::1]", urlsplit(PUBLIC_URL).hostname or "localhost"}
    | {host.strip() for host in os.environ.get("HANDLAID_HOSTS", "").split(",") if host.strip()}
)
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL] if HTTPS else []


def _secret_key() -> str:
    from studio.bootstrap import secret_key

    return os.environ.get("HANDLAID_SECRET_KEY") or secret_key(DATA_DIR)


SECRET_KEY = _secret_key()

INSTALLED_APPS = [
    "studio",
    "materials",
    "jobs",
    "costing",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "csp",
    "axes",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.web.sessions.SessionLimitsMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.web.middleware.StudioMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "libraries": {"paper": "studio.web.templatetags.paper"},
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "studio.web.context.studio",
            ],
        },
    },
]

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'studio.sqlite3'}", conn_max_age=60, conn_health_checks=True
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    from studio.sqlite import connection_options

    DATABASES["default"]["OPTIONS"] = connection_options()

AUTH_USER_MODEL = "studio.Account"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "studio.services.passwords.LongestPasswordValidator"},
    {"NAME": "studio.services.passwords.CommonPhraseValidator"},
    {"NAME": "studio.services.passwords.OwnWordsValidator"},
]
LOGIN_URL = "studio:sign_in"
LOGIN_REDIRECT_URL = "studio:home"
LOGOUT_REDIRECT_URL = "studio:sign_in"
AXES_FAILURE_LIMIT = 4
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_HTTP_RESPONSE_CODE = 429
AXES_LOCKOUT_CALLABLE = "studio.views.sign_in.too_many_tries"
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_USERNAME_FORM_FIELD = "username"
AXES_DISABLE_ACCESS_LOG = True

LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [("fonts", fontpkg_source_sans_3.ROOT / "files")]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": DATA_DIR / "files"}},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"},
}
MEDIA_ROOT = DATA_DIR / "files"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
        "manifest-src": [SELF],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 14 * 24 * 3600
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
if HTTPS:
    SECURE_SSL_REDIRECT = _flag("HANDLAID_SSL_REDIRECT", "1")
    SECURE_REDIRECT_EXEMPT = [r"^health/$"]
    SECURE_HSTS_SECONDS = 63_072_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
    if _flag("HANDLAID_BEHIND_PROXY"):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CSRF_FAILURE_VIEW = "studio.views.errors.csrf_refused"

REDIS_URL = os.environ.get("REDIS_URL", "")
# Several web processes count together in Redis; without it there is one process, whose threads share its memory.
_HERE = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "here"}
_REDIS = {
    "BACKEND": "django.core.cache.backends.redis.RedisCache",
    "LOCATION": REDIS_URL,
    "KEY_PREFIX": "handlaid",
    "OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 1},
}
CACHES = {"default": _REDIS if REDIS_URL else {**_HERE, "LOCATION": "shared"}, "here": _HERE}
SWEEP_EVERY_S = float(os.environ.get("HANDLAID_SWEEP_EVERY_S", "20"))
TASK_QUEUE = queue_options(data_dir=DATA_DIR, redis_url=REDIS_URL, sweep_every_s=SWEEP_EVERY_S)
# The embedded worker sweeps by itself; with Redis a scheduler does, unless a worker is told to.
SWEEP_IN_WORKER = _flag("HANDLAID_SWEEP_IN_WORKER", "" if REDIS_URL else "1")
SWEEP_AT_MOST = 200
DOCUMENTS_DIR = DATA_DIR / "files" / "documents"
# The press stops first, then the task's limits (where the pool can enforce them), then the lease frees the row.
DOCUMENT_PRESS_LIMIT_S = 75
DOCUMENT_TIME_LIMIT_S = 90
DOCUMENT_LEASE_S = float(os.environ.get("HANDLAID_DOCUMENT_LEASE_S", "120"))

LOGGING = logging_options(debug=DEBUG)

DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
