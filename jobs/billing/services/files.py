"""The bytes of a document: made once after issue, kept with their SHA-256, never made again."""

import hashlib

from django.db import transaction

from ..enums import FileKind
from ..models import DocumentFile


@transaction.atomic
def document_file_keep(*, document_id: int, kind: FileKind, content: bytes) -> DocumentFile:
    """Insert the file, or return the one that is there: a kept file is never replaced."""
    file, _made = DocumentFile.objects.get_or_create(
        document_id=document_id,
        kind=kind,
        defaults={"content": content, "sha256": hashlib.sha256(content).hexdigest()},
    )
    return file
