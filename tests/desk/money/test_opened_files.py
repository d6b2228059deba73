"""Who of the business opened a customer's document or statement stands in the trail."""

import pytest
from django.urls import reverse

from jobs.billing.enums import FileKind
from jobs.billing.links import token_for
from jobs.billing.models import DocumentFile
from jobs.desk.money.views import accounts
from jobs.people.models import TrailEntry

pytestmark = pytest.mark.django_db


def trail() -> list[tuple[str, int | None, str]]:
    opened = TrailEntry.objects.filter(event__startswith="data.").order_by("pk")
    return list(opened.values_list("event", "by", "ref"))


@pytest.fixture
def kept(invoice):
    DocumentFile.objects.filter(document=invoice).delete()
    DocumentFile.objects.create(document=invoice, kind=FileKind.PDF, content=b"%PDF-")
    return invoice


def test_a_document_opened_by_staff_is_kept_and_by_the_customers_link_is_not(
    desk, tuner, kept, stranger
):
    assert desk.get(reverse("money:file", args=[kept.pk, "pdf"])).content == b"%PDF-"
    assert trail() == [("data.document", tuner.pk, str(kept.pk))]
    link = reverse("document-file", kwargs={"token": token_for(kept), "kind": "pdf"})
    assert stranger.get(link).content == b"%PDF-"
    assert len(trail()) == 1


def test_a_file_that_is_not_made_yet_is_not_opened(desk, kept):
    assert desk.get(reverse("money:file", args=[kept.pk, "cii"])).status_code == 404
    assert trail() == []


def test_a_statement_opened_by_staff_is_kept(desk, tuner, payer, monkeypatch):
    monkeypatch.setattr(accounts, "statement_pdf", lambda *_args, **_period: b"%PDF-")
    assert desk.get(reverse("money:account-pdf", args=[payer.pk])).content == b"%PDF-"
    assert trail() == [("data.statement", tuner.pk, str(payer.pk))]
