"""The documents of a period as one zip, with a manifest of SHA-256 sums anybody can check."""

import datetime
import io
import zipfile
from collections.abc import Iterable

from .models import DocumentFile
from .selectors.journal import journal_csv
from .selectors.takings import documents_of


def documents_zip(since: datetime.date, until: datetime.date) -> bytes:
    """PDF and XML of every tax document, the journal, and ``SHA256SUMS`` (sha256sum -c).

    A document whose files are not made yet is named in ``missing.txt``.
    """
    written = io.BytesIO()
    sums: list[str] = []
    missing: list[str] = []
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as bundle:
        for document in documents_of(since, until):
            files = list(document.files.all())
            if not files:
                missing.append(document.label)
            for name, content, digest in _named(document.label, files):
                bundle.writestr(name, content)
                sums.append(f"{digest}  {name}")
        bundle.writestr("journal.csv", journal_csv(since, until))
        bundle.writestr("SHA256SUMS", "\n".join(sums) + "\n")
        if missing:
            bundle.writestr("missing.txt", "\n".join(missing) + "\n")
    return written.getvalue()


def _named(label: str, files: Iterable[DocumentFile]) -> Iterable[tuple[str, bytes, str]]:
    for file in files:
        ending = "xml" if file.kind == "cii" else file.kind
        yield f"{label}.{ending}", bytes(file.content), file.sha256
