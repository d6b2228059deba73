"""Every payment and credit note of before gets its rows of the ledger; all sums stay equal.

Tests of ``tests/upgrade`` compare them. The guards are off while migrations run.
"""

from django.db import migrations


def fill(apps, _editor):
    allocations = apps.get_model("billing", "Allocation").objects
    Document = apps.get_model("billing", "Document")
    payments = apps.get_model("billing", "Payment").objects
    for payment in payments.order_by("at", "pk"):
        _entered(allocations, payment)
    for note in Document.objects.filter(kind="credit", number__isnull=False).order_by("pk"):
        minor = note.gross_minor + note.rounding_minor
        if minor:
            allocations.create(
                customer_id=note.customer_id,
                credit_note=note,
                document_id=note.corrects_id,
                reason="entered",
                amount_minor=minor,
                day=note.issued_on,
                by_id=note.issued_by_id,
            )
    took = Document.objects.filter(
        kind__in=("invoice", "prepayment"),
        number__isnull=False,
        prepaid_minor__gt=0,
        follows__kind="deposit",
    )
    for document in took.order_by("issued_at", "pk"):
        _taken(allocations, payments, document)
    _settled(apps)


def _entered(allocations, payment):
    signed = -payment.amount_minor if payment.kind == "refund" else payment.amount_minor
    row = allocations.create(
        customer_id=payment.customer_id,
        payment=payment,
        document_id=payment.document_id,
        reason="entered",
        amount_minor=signed,
        day=payment.received_on,
        by_id=payment.by_id,
    )
    if payment.withdrawn_at is not None:
        allocations.create(
            customer_id=payment.customer_id,
            payment=payment,
            document_id=payment.document_id,
            reason="struck",
            amount_minor=-signed,
            day=payment.withdrawn_at.date(),
            by_id=payment.withdrawn_by_id,
            reverses=row,
        )


def _taken(allocations, payments, document):
    """What the printed sum "paid in advance" counted on, off the deposit it follows."""
    left = document.prepaid_minor
    paid = payments.filter(
        document_id=document.follows_id, kind="payment", withdrawn_at__isnull=True
    ).order_by("at", "pk")
    for payment in paid:
        rows = allocations.filter(payment=payment, document_id=document.follows_id)
        part = min(left, sum(row.amount_minor for row in rows))
        if part <= 0:
            continue
        shared = {
            "customer_id": payment.customer_id,
            "payment": payment,
            "reason": "taken",
            "day": document.issued_on,
            "by_id": document.issued_by_id,
        }
        first = allocations.create(document_id=document.follows_id, amount_minor=-part, **shared)
        allocations.create(document=document, amount_minor=part, pair=first, **shared)
        left -= part


def _settled(apps):
    """Lines that take a prepayment invoice off again name it; its number is in their words."""
    DocumentLine = apps.get_model("billing", "DocumentLine")
    Document = apps.get_model("billing", "Document")
    for prepayment in Document.objects.filter(kind="prepayment", number__isnull=False):
        DocumentLine.objects.filter(
            document__kind="invoice", document__follows=prepayment.follows_id,
            document__follows__isnull=False, entry__isnull=True, charge_key="", quantity__lt=0,
            description__contains=prepayment.label,
        ).update(settles=prepayment)  # fmt: skip


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0003_the_ledger"),
    ]

    operations = [
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
