"""Writing model sheets that came from a file."""

from collections.abc import Sequence

from django.db import transaction

from ..models import ModelSheet, SheetAdjuster
from ..sheet_files import SheetData


@transaction.atomic
def sheets_import(*, sheets: Sequence[SheetData]) -> tuple[int, int]:
    """Write all sheets or none. A sheet of the same make, model and year is replaced.

    Returns how many were new and how many replaced.
    """
    created = 0
    for data in sheets:
        sheet, new = ModelSheet.objects.update_or_create(
            make=data.make, model=data.model, year=data.year, defaults=data.chassis
        )
        created += new
        sheet.adjusters.all().delete()
        SheetAdjuster.objects.bulk_create(
            SheetAdjuster(sheet=sheet, **fields) for fields in data.adjusters
        )
    return created, len(sheets) - created
