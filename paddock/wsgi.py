"""The pages. In production: ``granian --interface wsgi paddock.wsgi:application``."""

from . import django_start  # noqa: F401  (sets Django up, which what follows needs)

# isort: split
from jobs.outbox import signs
from jobs.outbox.enums import ProcessPart

from .pages import pages
from .truncated_bodies import CompleteRequests

signs.start(ProcessPart.PAGES)
pages.is_ready()  # what is missing is said at the start, not only to the first who asks
application = CompleteRequests(pages)
