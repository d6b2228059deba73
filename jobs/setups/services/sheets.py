"""Handing a setup sheet over: what was handed over stays, a correction is a new version."""

import hashlib
from collections.abc import Iterable

from django.db import IntegrityError, transaction
from django.utils.translation import override

from jobs.people.selectors import business_get
from jobs.trackday.models import Entry

from ..models import Adjustment, Expectation, Finding, Judgement, Reading, SetupSheet
from ..selectors import setup_sheets_of
from ..sheet_paper import sheet_pdf


def sheet_handed_over(entry: Entry) -> SetupSheet:
    """The sheet of this day as it stands in the book: the version kept, or a new one, in the
    language of the bike's owner.

    Raises ``jobs.paper.documents.PaperError`` where no PDF can be made; then nothing is kept.
    """
    kept = setup_sheets_of(entry)
    facts = facts_digest(entry)
    if kept and kept[-1].facts == facts:
        return kept[-1]
    version = len(kept) + 1
    with override(entry.bike.owner.language or business_get().language):
        content = sheet_pdf(
            entry, version=version, handed_over_at=kept[0].made_at if kept else None
        )
    try:
        with transaction.atomic():
            return SetupSheet.objects.create(
                entry=entry, version=version, facts=facts, content=content
            )
    except IntegrityError:  # somebody else made the same version in the meantime
        return SetupSheet.objects.get(entry=entry, version=version)


def facts_digest(entry: Entry) -> str:
    """SHA-256 of the rows of the book that a day's sheet is made of, withdrawn or not."""
    lines = sorted(_rows(entry))
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def _rows(entry: Entry) -> Iterable[str]:
    for model in (Adjustment, Reading, Finding, Expectation, Judgement):
        rows = model._default_manager.filter(entry=entry).values_list("pk", "withdrawn_at")
        for pk, withdrawn_at in rows:
            yield f"{model.__name__} {pk} {withdrawn_at is not None}"
    for pk, state in Adjustment.objects.filter(entry=entry).values_list("pk", "state"):
        yield f"placed {pk} {state}"
