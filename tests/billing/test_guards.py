"""Every forbidden change is refused by the database itself, past all of our own code."""

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from jobs.billing import triggers
from jobs.billing.enums import FileKind
from jobs.billing.models import (
    Acceptance,
    Document,
    DocumentAllowance,
    DocumentLine,
    DocumentTax,
    Payment,
    Reminder,
    Series,
)
from jobs.billing.services.files import document_file_keep


def refused(statement: str, *values) -> None:
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)


@pytest.mark.django_db
def test_every_trigger_is_there_after_migrating():
    assert triggers.missing() == set()
    per_row = 3 + 3 * 3 + 2 * 4 + 2 + 2 + 2 + 2 + 4
    tables = 12 if connection.vendor == "postgresql" else 0
    assert len(triggers.expected(connection.vendor)) == per_row + tables


@pytest.mark.django_db
def test_creating_triggers_twice_changes_nothing_and_a_missing_one_is_reported():
    triggers.create_all()
    assert triggers.missing() == set()
    triggers.drop_all()
    try:
        assert triggers.missing() == triggers.expected(connection.vendor)
        from jobs.billing.apps import _check_triggers

        (warning,) = _check_triggers(databases=["default"])
        assert warning.id == "billing.W001"
    finally:
        triggers.create_all()


@pytest.mark.django_db
def test_before_its_tables_are_made_nothing_is_missing(monkeypatch):
    """``manage.py migrate`` checks the database first: a new one must not be refused."""
    triggers.drop_all()
    try:
        monkeypatch.setattr(connection.introspection, "table_names", list)
        assert triggers.missing() == set()
    finally:
        triggers.create_all()


def test_an_issued_document_and_its_parts_refuse_every_change(invoice):
    document = Document._meta.db_table
    refused(f"UPDATE {document} SET gross_minor = 1 WHERE id = %s", invoice.pk)
    refused(f"UPDATE {document} SET number = NULL WHERE id = %s", invoice.pk)
    refused(f"DELETE FROM {document} WHERE id = %s", invoice.pk)
    for model in (DocumentLine, DocumentTax):
        table = model._meta.db_table
        refused(f"DELETE FROM {table} WHERE document_id = %s", invoice.pk)
        refused(f"UPDATE {table} SET document_id = document_id WHERE document_id = %s", invoice.pk)
        row = model.objects.filter(document=invoice).first()
        row.pk, row.position = None, 99
        if model is DocumentTax:
            row.name = "another"
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save(force_insert=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        DocumentAllowance.objects.create(
            document=invoice, position=1, reason="x", quoted_minor=1, amount_minor=1, taxes=[]
        )


def test_a_document_cannot_be_inserted_as_issued(invoice):
    invoice.pk, invoice.number, invoice.label = None, 99, "R-00099"
    with pytest.raises(IntegrityError), transaction.atomic():
        invoice.save(force_insert=True)


def test_a_document_has_either_no_number_or_everything_of_an_issued_one(invoice, day, payer, tuner):
    from jobs.billing.services.drafts import quote_draft

    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    Document.objects.filter(pk=draft.pk).update(note="a draft may change")
    with pytest.raises(IntegrityError), transaction.atomic():
        Document.objects.filter(pk=draft.pk).update(number=7)
    with pytest.raises(IntegrityError), transaction.atomic():
        Document.objects.filter(pk=draft.pk).update(label="Q-7")


def test_files_acceptances_reminders_and_the_ledger_are_only_added(invoice, pay, tuner):
    pay(invoice, 100)
    kept = document_file_keep(document_id=invoice.pk, kind=FileKind.PDF, content=b"%PDF")
    Acceptance.objects.create(document=invoice, name="Maren")
    Reminder.objects.create(document=invoice, text="x", open_minor=1, by=tuner)
    for table in triggers.APPENDED:
        refused(f"UPDATE {table} SET document_id = document_id")
        refused(f"DELETE FROM {table}")
    again = document_file_keep(document_id=invoice.pk, kind=FileKind.PDF, content=b"x")
    assert (again.pk, again.sha256) == (kept.pk, kept.sha256)


def test_a_payment_is_struck_through_once_and_never_edited(invoice, pay, tuner):
    from jobs.billing.services.payments import payment_withdraw

    payment = pay(invoice, 52000)
    refused("UPDATE billing_payment SET amount_minor = 1")
    refused("DELETE FROM billing_payment")
    payment_withdraw(payment=payment, by=tuner, why="wrong customer")
    refused("UPDATE billing_payment SET withdrawn_at = NULL")
    refused("UPDATE billing_payment SET withdrawn_why = 'other'")
    assert Payment.objects.get().withdrawn_why == "wrong customer"


def test_a_series_counts_on_by_one_and_never_back(invoice):
    refused("UPDATE billing_series SET next = 1")
    refused("UPDATE billing_series SET next = next + 2")
    refused("DELETE FROM billing_series")
    Series.objects.update(prefix="INV-")


@pytest.mark.postgresql
def test_a_table_of_documents_is_never_emptied(invoice):
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # what the test wrote is checked by now
    for table in triggers.TABLES:
        refused(f"TRUNCATE {table} CASCADE")


def test_flush_is_refused_too(invoice):
    with pytest.raises(Exception, match=r"never|couldn't be flushed"), transaction.atomic():
        call_command("flush", interactive=False, verbosity=0)
    assert Document.objects.count() == 1


def test_only_the_personal_text_beside_a_document_may_be_emptied(invoice, pay, tuner):
    """A customer is removed on request; who paid what, and when, stays."""
    from jobs.billing.services.payments import payment_withdraw

    Acceptance.objects.create(document=invoice, name="Maren")
    Reminder.objects.create(document=invoice, text="Dear Maren", open_minor=1, by=tuner)
    payment = pay(invoice, 52000)
    refused("UPDATE billing_payment SET note = 'other'")
    refused("UPDATE billing_payment SET note = '', amount_minor = 1")
    payment_withdraw(payment=payment, by=tuner, why="Maren's brother paid")
    refused("UPDATE billing_payment SET withdrawn_why = '', withdrawn_at = NULL")
    refused("UPDATE billing_reminder SET text = '', open_minor = 2")
    refused("UPDATE billing_acceptance SET name = 'other'")
    refused("UPDATE billing_acceptance SET name = '', document_id = NULL")
    Payment.objects.update(note="", withdrawn_why="")
    Reminder.objects.update(text="")
    Acceptance.objects.update(name="")
    kept = Payment.objects.get()
    assert (kept.note, kept.withdrawn_why, kept.amount_minor) == ("", "", 52000)
    assert kept.withdrawn_at is not None
    refused("UPDATE billing_payment SET withdrawn_why = 'other'")
