"""The first hour's dead ends: each says what is missing, and nothing claims what is not so."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.urls import reverse

from jobs.billing.models import Document
from jobs.billing.services.issue import document_issue
from jobs.desk.link_mail import link_send
from jobs.outbox.mail_server import KEEPS_ONLY
from jobs.outbox.models import Job, Mail
from jobs.outbox.worker import do
from jobs.people.models import Business
from jobs.setups.limits import check_in_range
from jobs.trackday.services import crew_join, revision_bump
from tests.billing.conftest import customer_make
from tests.days import day_build

from .money.conftest import day, money_business, payer, prices

__all__ = ["day", "money_business", "payer", "prices"]
FITS = "Everything due in the next hour fits."
NO_CREW = "Nobody is in the crew of this day yet, so nothing is planned"


@pytest.fixture
def desk(signed_in, tuner):
    return signed_in(tuner)


@pytest.mark.parametrize("page", ["board:day", "board:plan"])
def test_a_day_without_a_crew_says_so_and_not_that_everything_fits(desk, tuner, page):
    trackday = day_build(bikes=1).trackday
    url = reverse(page, args=[trackday.pk])
    shown = desk.get(url).content.decode()
    assert NO_CREW in shown
    assert reverse("board:crew", args=[trackday.pk]) in shown
    assert FITS not in shown
    crew_join(trackday=trackday, user=tuner)
    revision_bump(trackday_id=trackday.pk)
    shown = desk.get(url).content.decode()
    assert FITS in shown
    assert NO_CREW not in shown


def test_without_mail_the_desk_says_that_the_letter_is_only_kept(desk, monkeypatch):
    customer = customer_make("Ada")
    url = reverse("desk:customer-link", args=[customer.pk])
    sent = f"The link is on its way to {customer.email}."
    assert sent in desk.post(url, follow=True).content.decode()
    monkeypatch.setattr(settings, "EMAIL_BACKEND", KEEPS_ONLY)
    page = desk.post(url, follow=True).content.decode()
    assert sent not in page
    assert f"Mail is not set up, so nothing goes out to {customer.email}." in page
    assert "kept here" in desk.get(reverse("desk:mails")).content.decode()


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("http://127.0.0.1:8080", "opens on this computer only"),
        ("http://localhost:8080", "opens on this computer only"),
        ("https://van.local:8443", "opens only in the van&#x27;s own network"),
        ("https://192.168.8.2:8443", "opens only in the van&#x27;s own network"),
        ("https://paddock.example", ""),
    ],
)
@pytest.mark.parametrize("has_mail", [True, False])
def test_a_link_that_customers_cannot_open_is_said_when_it_is_given(
    desk, settings, address, words, has_mail
):
    settings.PUBLIC_URL = address
    customer = customer_make("Ada")
    if not has_mail:
        type(customer).objects.update(email="")
    page = desk.post(reverse("desk:customer-link", args=[customer.pk]), follow=True)
    assert words in page.content.decode()
    assert ("opens on" in page.content.decode()) is bool(words)


@pytest.mark.django_db(transaction=True)
def test_a_letter_that_is_only_kept_is_never_called_sent(tuner, monkeypatch, settings):
    settings.EMAIL_BACKEND = KEEPS_ONLY
    mail = link_send(customer=customer_make("Ada"), by=tuner, request_id=uuid.uuid4())
    do(Job.objects.get(handler="outbox.mail").pk)
    assert Job.objects.get(handler="outbox.mail").done_at is not None
    assert Mail.objects.get(pk=mail.pk).sent_at is None


def draft_of(desk, day) -> Document:
    form = {"kind": "invoice", "entry": [day.entries[0].pk]}
    desk.post(reverse("money:draft", args=[day.trackday.pk]), form)
    return Document.objects.get()


def test_a_draft_is_issued_with_the_address_as_it_is_now_and_refused_without_one(desk, day, payer):
    """Directive 2006/112/EC, article 226(5): the full name and address of the customer."""
    street, payer.street = payer.street, ""
    payer.save()
    draft = draft_of(desk, day)
    with pytest.raises(ValidationError, match=f"{payer.name} has no address"):
        document_issue(document=draft, by=None)
    payer.street = "Typed afterwards 4"
    payer.save()
    shown = desk.get(reverse("money:document", args=[draft.pk])).content.decode()
    assert "Typed afterwards 4" in shown
    document_issue(document=draft, by=None)
    draft.refresh_from_db()
    assert (draft.buyer["street"], street != "Typed afterwards 4") == ("Typed afterwards 4", True)


def test_a_draft_names_the_business_as_it_is_when_it_is_issued(desk, day, payer):
    draft = draft_of(desk, day)
    Business.objects.update(street="New Yard 9")
    document_issue(document=draft, by=None)
    draft.refresh_from_db()
    assert draft.seller["street"] == "New Yard 9"


@pytest.mark.parametrize(("iban", "named"), [("IE03HOLL99000012345678", True), ("", False)])
def test_a_bank_reference_is_only_given_where_there_is_an_account(
    desk, day, payer, iban, named, monkeypatch
):
    Business.objects.update(iban=iban)
    document_issue(document=draft_of(desk, day), by=None)
    document = Document.objects.get()
    after = document.due_on + timedelta(days=1)
    monkeypatch.setattr("jobs.billing.services.reminders.business_today", lambda: after)
    desk.post(reverse("money:remind", args=[document.pk]))
    reminded = Mail.objects.get(subject__startswith="Reminder: ")
    sent = Mail.objects.exclude(pk=reminded.pk).get()
    assert ("The reference for your bank is" in sent.text) is named
    assert ("Reference for your bank:" in reminded.text) is named


def test_a_listed_range_is_not_called_counted(db):
    adjuster = day_build(bikes=1).entries[0].bike.adjusters.first()
    with pytest.raises(ValidationError, match="is counted from 0 to"):
        check_in_range(adjuster, Decimal(99))
    adjuster.range_counted = False
    with pytest.raises(ValidationError, match="is listed from 0 to"):
        check_in_range(adjuster, Decimal(99))
