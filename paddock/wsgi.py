"""The pages. In production: ``granian --interface wsgi paddock.wsgi:application``."""

import os

from django.core.wsgi import get_wsgi_application

from .whole import WholeRequests

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")

pages = get_wsgi_application()
application = WholeRequests(pages)
