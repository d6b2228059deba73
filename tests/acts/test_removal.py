"""A removed customer stands nowhere any more; what the machine was set to still stands."""

import uuid
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from jobs.acts.columns import declared, models_of_the_project
from jobs.acts.models import Act
from jobs.acts.removal import DOCUMENTS, customer_remove, documents_kept
from jobs.acts.services import act_apply
from jobs.billing.models import Document, Payment
from jobs.billing.selectors.payments import document_open
from jobs.billing.services.issue import document_issue
from jobs.files.models import Photo
from jobs.people.links import token_make
from jobs.people.models import Customer, Edit
from jobs.setups.models import Adjustment, Finding, Measurement
from tests.board.test_photos import upload
from tests.setups.test_replay import _check_chain
from tests.setups.writing import stands_at

from .marked import MARK, MarkedStory, found_in_the_database

# Personal columns no door writes the mark to: numbers, codes of two letters, names of files
# (ids), what the program says in a mail, and a customer's sign-in beside its first name.
WITHOUT_MARK = {
    "advice_settlement.weight_kg", "files_photo.picture", "files_photo.raw", "files_photo.small",
    "outbox_mail.subject", "people_customer.country", "people_user.email",
    "people_user.last_name", "people_user.username", "people_rider.weight_in_kit_kg",
    "setups_setupsheet.content",
}  # fmt: skip


@pytest.fixture
def story(cast, signed_in, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    story = MarkedStory(cast, signed_in)
    story.day_at_the_track()
    story.in_the_office()
    return story


@pytest.fixture
def remove(story, django_capture_on_commit_callbacks):
    def remove() -> None:
        with django_capture_on_commit_callbacks(execute=True):
            customer = Customer.objects.get(pk=story.customer.pk)
            customer_remove(customer=customer, by=story.cast.tuner)

    return remove


def personal() -> set[str]:
    return {
        f"{model._meta.db_table}.{model._meta.get_field(name).column}"
        for model in models_of_the_project()
        for name in declared(model, "personal_columns")
    }


def marked_files() -> list[str]:
    files = [path for path in Path(django_settings.MEDIA_ROOT).rglob("*") if path.is_file()]
    return [str(p) for p in files if MARK.encode() in p.read_bytes() or MARK in p.name]


def sessions() -> str:
    return " ".join(str(session.get_decoded()) for session in Session.objects.all())


def test_no_word_of_a_removed_customer_is_left(story, remove):
    story.is_written_to()
    story.customer.refresh_from_db()
    browser = Client()
    browser.post(reverse("portal:open", args=[token_make(customer=story.customer)]), follow=True)
    _message_not_yet_shown(story.desk)
    before = found_in_the_database()
    written = {f"{table}.{column}" for table, columns in before.items() for column in columns}
    assert personal() - written == WITHOUT_MARK
    assert written - personal() == {"acts_act.kind"}
    assert f"_auth_user_id': '{story.customer.user_id}'" in sessions()
    assert MARK in sessions()
    photos = Photo.objects.values_list("picture", "small", "raw")
    files = [name for names in photos for name in names if name]
    assert sorted(bool(raw) for _picture, _small, raw in photos) == [False, False, True]

    remove()

    issued = {model._meta.db_table for model in DOCUMENTS}
    assert set(found_in_the_database()) == issued
    signs_in = story.customer.user
    signs_in.refresh_from_db()
    assert signs_in.username == f"removed-{signs_in.pk}"
    assert MARK not in sessions()
    assert f"_auth_user_id': '{story.customer.user_id}'" not in sessions()
    assert marked_files() == []
    for name in files:
        assert not (Path(django_settings.MEDIA_ROOT) / name).exists()
    story.customer.refresh_from_db()
    assert (story.customer.country, story.customer.tax_id) == ("", "")
    assert not story.customer.user.is_active
    assert MARK.lower() not in story.customer.user.username


def test_what_is_kept_is_issued_and_named_before_anybody_is_removed(story, remove):
    url = reverse("desk:customer-remove", args=[story.customer.pk])
    page = story.desk.get(url).content.decode()
    kept = [d for d in Document.objects.all() if MARK in f"{d.buyer}{d.story}{d.note}"]
    assert {d.kind for d in kept if d.number is None} == {"quote"}
    remove()
    left = [d for d in Document.objects.all() if MARK in f"{d.buyer}{d.story}{d.note}"]
    assert {d.kind for d in left} == {"quote", "invoice", "credit"}
    assert all(document.number is not None for document in left)
    assert set(left) == set(documents_kept(story.customer))
    for document in left:
        assert document.label in page


def test_who_owes_is_removed_once_it_is_paid_to_the_cent(story, remove):
    draft = reverse("money:draft", args=[story.trackday.pk])
    story.desk.post(draft, {"entry": [story.entry.pk], "kind": "invoice"})
    invoice = document_issue(document=Document.objects.latest("pk"), by=story.cast.tuner)
    with pytest.raises(ValidationError, match="is not paid: settle it"):
        remove()
    paid = {"kind": "payment", "method": "cash", "id": str(uuid.uuid4())}
    story.desk.post(reverse("money:pay", args=[invoice.pk]), paid)
    assert document_open(invoice) == 0
    remove()
    assert MARK not in Customer.objects.get(pk=story.customer.pk).name


def test_the_book_keeps_the_machine_and_everybody_else_keeps_everything(story, remove):
    facts = [list(rows) for rows in _facts()]
    others = [list(rows) for rows in _of_others(story)]
    adjusters = list(story.entry.bike.adjusters.all())
    positions = [stands_at(adjuster) for adjuster in adjusters]
    third = Customer.objects.get(name="Somebody 3")
    noted_of_others = Edit.objects.create(
        by=story.cast.office, verb="changed", what="customer", ref=str(third.pk), title=third.name
    )
    remove()
    noted_of_others.refresh_from_db()
    assert [list(rows) for rows in _facts()] == facts
    assert [list(rows) for rows in _of_others(story)] == others
    assert [stands_at(adjuster) for adjuster in adjusters] == positions
    for adjuster in adjusters:
        _check_chain(adjuster)
    assert Finding.objects.filter(words="nobody's words").count() == 1
    assert noted_of_others.title == "Somebody 3"
    story.act("change", moves=[story.move(7, 6)], reason="and the book goes on")
    assert stands_at(story.rebound) == 6


def test_what_is_sent_again_after_the_removal_brings_no_word_back(story, remove):
    act = Act.objects.get(pk=story.hold_form["act_id"])
    sent = {"kind": "hold", "payload": act.payload, "by": story.cast.tuner}
    remove()
    rows = Act.objects.count()
    again = act_apply(act_id=act.pk, trackday=story.trackday, **sent)
    assert (again.outcome, again.answer["text"]) == ("applied", "")
    url = reverse("board:do", args=[story.trackday.pk])
    story.desk.post(url, {**story.hold_form, "photo": upload()})
    assert Act.objects.count() == rows
    assert set(found_in_the_database()) <= {model._meta.db_table for model in DOCUMENTS}
    assert not any(photo.picture for photo in Photo.objects.all())


def test_a_refused_act_that_names_somebody_elses_bike_keeps_its_words(story, remove):
    entry = story.other
    refused = act_apply(
        act_id=uuid.uuid4(), kind="hold", by=story.cast.tuner, trackday=story.trackday,
        payload={"entry": entry.pk, "words": "x" * 301},
    )  # fmt: skip
    named = act_apply(
        act_id=uuid.uuid4(), kind="hold", by=story.cast.tuner, trackday=story.trackday,
        payload={"entry": Finding.objects.get(words="nobody's words").entry_id, "words": "y" * 301},
    )  # fmt: skip
    remove()
    refused.refresh_from_db()
    named.refresh_from_db()
    assert refused.payload["words"] == ""  # his rider rode that bike on that day
    assert named.payload["words"] == "y" * 301


def _message_not_yet_shown(browser: Client) -> None:
    session = browser.session
    session["_messages"] = f'[["__json_message", 0, 25, "{MARK} is kept.", ""]]'
    session.save()


def _facts():
    """Positions, numbers and states of the whole book, and every payment."""
    yield Adjustment.objects.order_by("pk").values_list(
        "pk", "kind", "state", "seq", "from_position", "to_position", "adjuster", "oil_state"
    )
    yield Measurement.objects.order_by("pk").values_list("pk", "name", "value", "unit")
    yield Payment.objects.order_by("pk").values_list("pk", "kind", "amount_minor", "withdrawn_at")


def _of_others(story):
    """Everything of the customer whose bike the removed one never rode."""
    third = Customer.objects.get(name="Somebody 3")
    yield Customer.objects.filter(pk=third.pk).values()
    yield third.bikes.values()
    yield third.riders.values()
    yield third.entries_paid.values()
    yield Finding.objects.filter(bike__owner=third, withdrawn_at=None).values()
