"""The pages. In production: ``granian --interface wsgi paddock.wsgi:application``."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")

application = get_wsgi_application()
