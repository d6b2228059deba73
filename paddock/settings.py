"""One file for every place this runs; what differs comes from the environment.

The variables are listed in README.md. Without any of them this is a working
installation on SQLite that answers on 127.0.0.1.
"""

from pathlib import Path

from csp.constants import NONE, SELF
from django.utils.translation import gettext_lazy as _

from . import env

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.text("DATA_DIR", str(BASE_DIR / "var")))

# Where it runs

DEMO = env.flag("DEMO")  # invented day, settable clock, mail shown instead of sent
DEBUG = env.flag("DEBUG")
HTTPS = env.flag("HTTPS")  # a proxy in front speaks HTTPS and sets X-Forwarded-Proto
SECRET_KEY = env.kept_secret("SECRET_KEY", DATA_DIR / "secret-key")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", "127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS")
PUBLIC_URL = env.text("PUBLIC_URL", "http://127.0.0.1:8000").rstrip("/")  # for links in mail
REDIS_URL = env.text("REDIS_URL")  # empty: one process does everything

ROOT_URLCONF = "paddock.urls"
WSGI_APPLICATION = "paddock.wsgi.application"

INSTALLED_APPS = [
    "paddock",
    "jobs.board",
    "jobs.portal",
    "jobs.desk",
    "jobs.api",
    "jobs.acts",
    "jobs.billing",
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
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "jobs.board.tablet.sessions.SessionCookieStays",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "jobs.board.tablet.lost.LostTablets",
    "jobs.acts.middleware.SentActs",
    "jobs.people.access.AccessMiddleware",
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

DATABASES = {"default": env.database("DATABASE_URL", DATA_DIR / "paddock.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
    if REDIS_URL
    else {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 2000},
    }
}

MEDIA_ROOT = DATA_DIR / "files"  # never served by itself: views ask who may see what
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o640

# People

AUTH_USER_MODEL = "people.User"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "sesame.backends.ModelBackend",  # the signed links of customers
]
LOGIN_URL = "signin"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "signin"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True

# The signed link a customer opens his pages with (jobs/people/links.py)
LINK_DAYS = env.whole("LINK_DAYS", 30)
SESAME_MAX_AGE = LINK_DAYS * 24 * 60 * 60

# Words and times

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English"))]
LOCALE_PATHS = [BASE_DIR / "paddock" / "locale"]
TIME_ZONE = "UTC"
USE_TZ = True

# What browsers fetch

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / "static-collected"
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
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = env.whole("HSTS_SECONDS", 60 * 60 * 24 * 365)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = env.flag("HSTS_WIDE")

# Machines

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {"TITLE": "Paddock", "VERSION": "1", "SERVE_INCLUDE_SCHEMA": False}

# Mail and deferred work (jobs/outbox)

vars().update(env.mail("MAIL_URL"))
DEFAULT_FROM_EMAIL = env.text("MAIL_FROM", "paddock@localhost")
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if env.text("MAIL_URL")
    else "django.core.mail.backends.dummy.EmailBackend"  # the desk's mail page keeps every one
)
CELERY_BROKER_URL = REDIS_URL or None
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_PUBLISH_RETRY = False  # a nudge that fails is no loss, a request that waits is
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    "max_retries": 0,
    "socket_connect_timeout": 1,
    "socket_timeout": 30,
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "celerybeat-schedule")
CELERY_BEAT_SCHEDULE = {
    "sweep the outbox": {
        "task": "outbox.drain",
        "schedule": 3.0,
        "options": {"expires": 3.0},  # a worker that was away finds one sweep, not a thousand
    }
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.text("LOG_LEVEL", "WARNING").upper()},
    "loggers": {"jobs": {"level": env.text("LOG_LEVEL", "INFO").upper()}},
}
