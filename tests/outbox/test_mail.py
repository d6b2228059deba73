"""Mail: kept for the desk to see, sent once, the same message however often it is tried."""

import pytest
from django.core import mail

from jobs.outbox import selectors, services, worker
from jobs.outbox.models import Job, Mail

pytestmark = pytest.mark.django_db


def enqueue(**changes) -> Mail:
    values = {
        "to": "ada@example.org",
        "subject": "Your day at Ballymoor",
        "text": "https://paddock.example/my/abc/",
    }
    return services.mail_enqueue(**values | changes)


def test_a_mail_is_sent_and_kept():
    kept = enqueue(html="<p>Your day</p>")
    assert kept.sent_at is None
    worker.drain()
    kept.refresh_from_db()
    assert kept.sent_at is not None
    (message,) = mail.outbox
    assert (message.to, message.subject) == (["ada@example.org"], "Your day at Ballymoor")
    assert message.alternatives[0] == ("<p>Your day</p>", "text/html")
    assert list(selectors.mails_recent()) == [kept]


def test_the_same_key_is_the_same_mail():
    assert enqueue(key="link 7").pk == enqueue(key="link 7").pk
    worker.drain()
    assert len(mail.outbox) == 1


def test_a_mail_tried_twice_carries_one_message_id_and_one_sent_already_is_not_sent(monkeypatch):
    kept = enqueue()
    monkeypatch.setattr(services, "mail_sent", lambda **_: 1 / 0)  # dies right after sending
    worker.drain()
    monkeypatch.undo()
    Job.objects.update(due_at=kept.created_at)
    worker.drain()
    first, second = mail.outbox
    assert first.extra_headers["Message-ID"] == second.extra_headers["Message-ID"]
    Job.objects.update(done_at=None, due_at=kept.created_at)
    worker.drain()
    assert len(mail.outbox) == 2


def test_a_subject_cannot_add_a_header():
    kept = enqueue(subject="Your day\nBcc: everybody@example.org")
    assert kept.subject == "Your day Bcc: everybody@example.org"


def test_an_answer_goes_to_the_business():
    enqueue(reply_to="van@hollin.example")
    enqueue()
    worker.drain()
    answers = sorted(tuple(message.reply_to) for message in mail.outbox)
    assert answers == [(), ("van@hollin.example",)]
