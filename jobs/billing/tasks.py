"""Deferred work of this room: the files of an issued document, each by itself."""

from functools import partial

from django.utils.translation import gettext_lazy as _

from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler

from .enums import FileKind
from .models import Document
from .printing import document_file
from .services.files import document_file_keep


@handler("billing.file", queue=Queue.DOCUMENTS, words=_("the file of a document"))
def file(job: JobInput) -> Finish | None:
    """Render outside any transaction; what comes of it is kept exactly once."""
    document = Document.objects.get(pk=job.payload["document"])
    kind = FileKind(job.payload["kind"])
    if document.files.filter(kind=kind).exists():
        return None
    content = document_file(document, kind)
    if content is None:
        return None
    return partial(document_file_keep, document_id=document.pk, kind=kind, content=content)
