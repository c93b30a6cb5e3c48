"""All settings, read from the environment and named in DEVELOPERS.md.

Without any of them one machine works by itself: SQLite, an embedded broker and mail written to files, all kept in
one data folder beside the code.  ``DATABASE_URL``, ``REDIS_URL`` and ``EMAIL_URL`` switch each part to a server.
"""
from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import environ
from csp.constants import NONE, SELF

from deploy.data import broker_url, data_folder, kept_secret, sqlite_pragmas

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

DATA_DIR: Path = data_folder(BASE_DIR, env.str("FARBENCH_DATA", default=""))

# -- Who may talk to us ------------------------------------------------------------------------------------------
DEBUG = env.bool("DEBUG", default=False)
SECRET_KEY = env.str("SECRET_KEY", default="") or kept_secret(DATA_DIR / "secret-key")
SITE_URL = env.str("SITE_URL", default="http://localhost:8000").rstrip("/")
"""Where people reach this installation; links in mails begin with it."""
# This machine itself always may: the launcher and the container ask here whether the pages are up.
ALLOWED_HOSTS = [*env.list("ALLOWED_HOSTS", default=[]), urlsplit(SITE_URL).hostname or "localhost",
                 "localhost", "127.0.0.1", "[::1]"]
_HTTPS = SITE_URL.startswith("https://")
CSRF_TRUSTED_ORIGINS = [SITE_URL] if _HTTPS else []
if _HTTPS:
    # The proxy in front ends TLS and must set this header itself (deploy/proxy.conf does).
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^health/$"]
    SECURE_HSTS_SECONDS = 30 * 24 * 3600
    AXES_CLIENT_IP_CALLABLE = "deploy.client_address.client_address"  # or everybody would come from the proxy
SESSION_COOKIE_AGE = 60 * 24 * 3600  # a rider stays in as long as a private link lives; tuners less (desk_sign_in)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = _HTTPS
SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"  # private links must not leak to other sites
X_FRAME_OPTIONS = "DENY"

# -- Parts -------------------------------------------------------------------------------------------------------
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "axes",
    "csp",
    "intake",
    "reports",
    "deploy",
]
MIDDLEWARE = [
    "intake.api_edge.problems_under_api",  # first: it words what any of the others answers below /api/
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",  # the browser's language, until the reader picks one
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "reports.second_step.whole_sign_ins_only",  # a tuner who owes the second step is nobody yet, on every page
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "intake.erased_meanwhile.no_fault_of_an_erased_case",
    "axes.middleware.AxesMiddleware",  # last: it turns a lock-out raised further in into its answer
]
ROOT_URLCONF = "deploy.urls"
WSGI_APPLICATION = "deploy.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

# -- Database ----------------------------------------------------------------------------------------------------
_SQLITE = {"ENGINE": "django.db.backends.sqlite3", "NAME": str(DATA_DIR / "farbench.sqlite3")}
DATABASES = {"default": env.db_url("DATABASE_URL") if env.str("DATABASE_URL", default="") else _SQLITE}
# Kept open: SQLite's own settings are made anew with each connection, which costs as much as a whole question.
DATABASES["default"]["CONN_MAX_AGE"] = env.int("CONN_MAX_AGE", default=60)
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # IMMEDIATE: two writers queue for the lock at the start instead of failing half way ("database is locked").
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20, "transaction_mode": "IMMEDIATE", "init_command": sqlite_pragmas(),
    }
else:
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True

# -- Broker and worker -------------------------------------------------------------------------------------------
# The database row is the record and the broker only rings the bell: a lost message costs a minute, never a case.
CELERY_BROKER_URL = env.str("REDIS_URL", default="") or broker_url(DATA_DIR)
CELERY_TASK_DEFAULT_QUEUE = env.str("QUEUE", default="farbench")  # installations on one broker need a name each
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_IGNORE_RESULT = True  # results live in our own rows
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_SOFT_TIME_LIMIT = 90
CELERY_TASK_TIME_LIMIT = 120
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 300,  # longer than the time limit, or a slow task is handed out twice (check farbench.E001)
    "socket_connect_timeout": 2,  # a rider's "hand in" never waits long for a broker that is away
    "max_retries": 1,
    "interval_start": 0.2,  # seconds until that one retry; it would be 2
}
CELERY_BEAT_SCHEDULE = {  # by Celery's beat on several machines, by the launcher on one
    # Finds work whose bell was lost or whose lease ran out; an unheard sweep expires before the next one.
    "sweep": {"task": "reports.tasks.sweep", "schedule": 60.0, "options": {"expires": 55}},
}
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat-schedule")

# -- Sign-in -----------------------------------------------------------------------------------------------------
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "reports.sign_in_backend.SignInBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "queue"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]  # one person's typing must not lock out a whole workshop
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "reports/desk/locked.html"
AXES_VERBOSE = False

# -- Content policy: nothing from anywhere else, nothing inline ---------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "media-src": ["blob:"],  # a film is read on the rider's own phone and never leaves it
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    },
}

# -- Mail --------------------------------------------------------------------------------------------------------
# Without EMAIL_URL each mail becomes a file in the data folder, so that nothing is lost and nothing leaves.
_MAIL = env.email_url("EMAIL_URL") if env.str("EMAIL_URL", default="") else {}
EMAIL_BACKEND = _MAIL.get("EMAIL_BACKEND", "django.core.mail.backends.filebased.EmailBackend")
EMAIL_FILE_PATH = _MAIL.get("EMAIL_FILE_PATH") or str(DATA_DIR / "mail")
EMAIL_HOST = _MAIL.get("EMAIL_HOST") or "localhost"
EMAIL_PORT = _MAIL.get("EMAIL_PORT") or 25
EMAIL_HOST_USER = _MAIL.get("EMAIL_HOST_USER") or ""
EMAIL_HOST_PASSWORD = _MAIL.get("EMAIL_HOST_PASSWORD") or ""
EMAIL_USE_TLS = _MAIL.get("EMAIL_USE_TLS", False)
EMAIL_USE_SSL = _MAIL.get("EMAIL_USE_SSL", False)
EMAIL_TIMEOUT = 20  # seconds, or a relay that hangs would hold a worker for ever
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", default="Farbench <farbench@localhost>")

# -- Files -------------------------------------------------------------------------------------------------------
STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True  # served from the rooms themselves: nothing to collect, nothing to go stale
MEDIA_URL = "media/"  # never served as such: photos go out through a view that asks whose they are
MEDIA_ROOT = env.path("MEDIA_ROOT", default=str(DATA_DIR / "media"))()
FILE_UPLOAD_PERMISSIONS = 0o600
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024  # a case document is a few kB; photos do not count here
DATA_UPLOAD_MAX_NUMBER_FIELDS = 500
DATA_UPLOAD_MAX_NUMBER_FILES = 10
FILE_UPLOAD_HANDLERS = [
    "intake.uploads.CutOff",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# -- API ---------------------------------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_AUTHENTICATION_CLASSES": [],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],  # each view opens its own door
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "intake.api_problems.problem_handler",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Farbench, the shop's door",
    "DESCRIPTION": "Hand in cases, read their state, findings, letter and service sheet, be told what happens.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",  # its schemas are plain JSON Schema 2020-12, as the case document is
    "SERVE_INCLUDE_SCHEMA": False,
    "WEBHOOKS": ["reports.hook_description.MESSAGE"],
}

# -- Words and time ----------------------------------------------------------------------------------------------
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("es", "Español")]
LANGUAGE_COOKIE_HTTPONLY = True
LOCALE_PATHS = [BASE_DIR / "deploy" / "locale"]
FORMAT_MODULE_PATH = "deploy.formats"  # English dates as written on this side of the ocean: 25 November 2026
USE_TZ = True
TIME_ZONE = env.str("TIME_ZONE", default="UTC")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {
        "()": "deploy.log_lines.WithoutPrivateLinks", "fmt": "%(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", default="INFO")},
}
