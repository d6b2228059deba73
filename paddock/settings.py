"""One file for every place this runs; what differs comes from the environment.

The variables are listed in README.md. Without any of them this is a working
installation on SQLite that answers on 127.0.0.1.
"""

import logging
from pathlib import Path

import django_stubs_ext
from csp.constants import NONE, SELF

from .environment import env, kept_secret

django_stubs_ext.monkeypatch()  # Django's generic classes take type arguments at run time

BASE_DIR = Path(__file__).resolve().parent.parent
DEMO = env.flag("DEMO", False)  # invented day, settable clock, mail shown instead of sent
DATA_DIR = env.path("DATA_DIR", BASE_DIR / "var") / ("demo" if DEMO else "")

# Where it runs

DEBUG = env.flag("DEBUG", False)
VAN = env.van("VAN", "")  # manage.py serve speaks HTTPS itself, by this name or address
HOST = env.str("HOST", "0.0.0.0" if VAN else "127.0.0.1")  # noqa: S104  (tablets come from outside)
# Not the demo's: browsers keep what belongs to an origin, and its port is part of it.
PORT = env.int("PORT", 8443 if VAN else 8000 if DEMO else 8080)
INSTALL_PORT = env.int("INSTALL_PORT", 8081)  # http: where tablets install the van's authority
HTTPS = env.flag("HTTPS", bool(VAN))  # what stands in front speaks HTTPS: X-Forwarded-Proto
# How many proxies add to X-Forwarded-For in front; of a van's own server none.
PROXIES = env.int("PROXIES", 1 if HTTPS and not VAN else 0)
SECRET_KEY = env.str("SECRET_KEY", "") or kept_secret(DATA_DIR / "secret-key")
ALLOWED_HOSTS = env.list(
    "ALLOWED_HOSTS", ["127.0.0.1", "localhost", "[::1]", *([VAN] if VAN else [])], subcast=str.strip
)
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", [], subcast=str.strip)
PUBLIC_URL = env.str(
    "PUBLIC_URL", f"https://{VAN}:{PORT}" if VAN else f"http://127.0.0.1:{PORT}"
).rstrip("/")  # for links in mail
REDIS_URL = env.str("REDIS_URL", "")  # empty: one process does everything

ROOT_URLCONF = "paddock.urls"
WSGI_APPLICATION = "paddock.wsgi.application"

INSTALLED_APPS = [
    "paddock",
    "jobs.account",
    "jobs.first",
    "jobs.board",
    "jobs.workbench",
    "jobs.tablet",
    "jobs.portal",
    "jobs.desk",
    "jobs.api",
    "jobs.manual",
    "jobs.acts",
    "jobs.billing",
    "jobs.calculators",
    "jobs.advice",
    "jobs.worklist",
    "jobs.setups",
    "jobs.trackday",
    "jobs.garage",
    "jobs.people",
    "jobs.outbox",
    "jobs.live",
    "jobs.paper",
    "jobs.files",
    "jobs.backups",
    "jobs.serving",
    "jobs.tables",
    "csp",
    "django_htmx",
    "rest_framework",
    "drf_spectacular",
    "whitenoise.runserver_nostatic",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "paddock.request_ids.request_ids",
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "jobs.tablet.sessions.SessionCookieStays",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "jobs.people.one_hash.AskedToTryAgain",
    "paddock.unkept.RefusedData",
    "jobs.tablet.lost.LostTablets",
    "jobs.acts.middleware.SentActs",
    "jobs.first.gate.PlaceWithoutTuner",
    "jobs.people.languages.OwnLanguage",
    "jobs.people.access.AccessMiddleware",
    "jobs.acts.middleware.NothingNewWhileDamaged",
]

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.csrf",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "paddock.context.frame",
            ],
        },
    },
]

# Data

DATABASES = {
    "default": env.database(
        "DATABASE_URL",
        "",
        sqlite_file=DATA_DIR / "paddock.sqlite3",
        connections=env.connections("DATABASE_CONNECTIONS", "8"),
    )
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

CACHES = {
    "default": {
        "BACKEND": "paddock.cache.OptionalRedisCache",
        "LOCATION": REDIS_URL,
        "OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 1},
    }
    if REDIS_URL
    else {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 2000},
    }
}

MEDIA_ROOT = DATA_DIR / "files"  # never served by itself: views ask who may see what
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o640
BACKUP_DIR = env.path("BACKUP_DIR", DATA_DIR / "backups")
BACKUP_PASSPHRASE = env.str("BACKUP_PASSPHRASE", "")
# From this hour of the business's day on, one backup a day is made. None: by hand only.
BACKUP_HOUR = None if DEMO else env.hour("BACKUP_HOUR", "3")

# People

AUTH_USER_MODEL = "people.User"
LOGIN_URL = "signin"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "signin"
PASSWORD_RESET_TIMEOUT = 60 * 60
PASSWORD_HASHERS = ["jobs.people.one_hash.OneArgon2AtATime"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
# The demo's cookies have names of their own: a browser may know both on one machine.
_OWN = "demo_" if DEMO else ""
SESSION_COOKIE_NAME = f"{_OWN}sessionid"
CSRF_COOKIE_NAME = f"{_OWN}csrftoken"
TABLET_COOKIE_NAME = f"{_OWN}tablet"  # what an enrolled tablet proves itself by
KNOWN_COOKIE_NAME = f"{_OWN}known"  # who signed in on this browser before
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True

# How long a link that signs a customer in can be used (jobs/people/links.py)
LINK_DAYS = env.int("LINK_DAYS", 30)

# Words and times

LANGUAGE_CODE = "en"
# Each named in itself: who reads no English finds theirs.
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
FORMAT_MODULE_PATH = ["paddock.formats"]
LOCALE_PATHS = [BASE_DIR / "paddock" / "locale"]
TIME_ZONE = "UTC"
USE_TZ = True

# What browsers fetch

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEMO or DEBUG
        else "paddock.staticfiles.HashedStaticFiles"
    },
}
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = DEMO or DEBUG

# Safety of the browser

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "blob:"],  # blob: a photo just taken, shown before it is sent
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
CSRF_FAILURE_VIEW = "paddock.fault_pages.csrf_failure"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    # A van's name also answers over http, on the port where tablets install its authority.
    SECURE_HSTS_SECONDS = env.int("HSTS_SECONDS", 0 if VAN else 60 * 60 * 24 * 365)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = env.flag("HSTS_WIDE", False)

# Machines

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Paddock",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    # Without the usual hook: choices stand where they are asked for, not under made-up names.
    "POSTPROCESSING_HOOKS": ["jobs.api.schema.refusals_add"],
}

# Mail and deferred work (jobs/outbox)

vars().update(env.mail("MAIL_URL", ""))
MAIL_FROM = env.str("MAIL_FROM", "")  # wins over the sender set on screen
DEFAULT_FROM_EMAIL = MAIL_FROM or "paddock@localhost"
EMAIL_TIMEOUT = 20  # seconds until a mail server that does not answer is given up
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if env.str("MAIL_URL", "")
    else "django.core.mail.backends.dummy.EmailBackend"  # jobs/outbox/mail_server.py decides
)
CELERY_BROKER_URL = REDIS_URL or None
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_PUBLISH_RETRY = False  # a message lost is found by the sweep; a request must not wait
CELERY_WORKER_PREFETCH_MULTIPLIER = 1  # no mail waits behind a long plan in one worker's hands
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    "max_retries": 0,
    "socket_connect_timeout": 1,
    "socket_timeout": 5,  # longer than a worker waits for one message (1 s)
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None  # however long Redis is away, nobody starts it again
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "celerybeat-schedule")
CELERY_BEAT_SCHEDULE = {
    "sweep the outbox": {
        "task": "outbox.sweep",
        "schedule": 3.0,
        "options": {
            "expires": 3.0
        },  # a worker that was stopped finds one message, not one for every missed sweep
    }
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "paddock.logs.LineFormatter",
            "format": "%(asctime)s %(levelname)s %(name)s: %(message)s",
        },
        "json": {"()": "paddock.logs.JsonFormatter"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": env.one_of("LOG_FORMAT", "line", among=("line", "json")),
        }
    },
    "root": {"handlers": ["console"], "level": env.log_level("LOG_LEVEL", logging.WARNING)},
    "loggers": {
        "jobs": {"level": env.log_level("LOG_LEVEL", logging.INFO)},
        # The server's own lines in our form; not every address asked for: a search is in it.
        "uvicorn.error": {"handlers": ["console"], "propagate": False},
        "uvicorn.access": {"level": "WARNING"},
    },
}
