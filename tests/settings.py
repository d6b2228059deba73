"""The product's own settings, made quick to test. The data directory is left alone."""

import os

from tests.alone import environment

os.environ.update(environment())
os.environ.setdefault("SECRET_KEY", "only-for-tests")

from paddock.settings import *  # noqa: F403
from paddock.settings import DATABASES, STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
BACKUP_HOUR = None  # a test that wants backups asks for them
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = True

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    options = DATABASES["default"]["OPTIONS"]
    options["init_command"] = options["init_command"].replace("synchronous=FULL", "synchronous=OFF")

# A test's browser keeps its cookie at a server process that has DEMO on.
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "sessionid", "csrftoken"
TABLET_COOKIE_NAME, KNOWN_COOKIE_NAME = "tablet", "known"

DATABASES["default"]["OPTIONS"].pop("pool", None)  # a test's database ends with its connections
