"""Letters can be read before they go out, and one tried in vain says how often."""

import pytest
from django.urls import reverse

from jobs.desk.link_mail import link_preview
from jobs.outbox.models import Job, Mail
from jobs.outbox.services import mail_enqueue
from jobs.people.models import Business, SignInLink

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def test_the_letter_with_the_link_is_read_before_and_makes_no_link(desk, cast):
    Business.objects.update_or_create(
        pk=1, defaults={"name": "Hollin", "email": "van@hollin.example"}
    )
    customer = cast.customer_a.customer
    page = desk.get(reverse("desk:customer", args=[customer.pk])).content.decode()
    assert "Read the letter before it goes out" in page
    assert "An answer comes to van@hollin.example." in page
    assert f"Hello {customer.name}," in page
    assert "/my/open/…" in link_preview(customer).text
    assert SignInLink.objects.count() == 0
    desk.post(reverse("desk:customer-link", args=[customer.pk]))
    sent, shown = Mail.objects.get(), link_preview(customer)
    assert sent.subject == shown.subject
    assert sent.text.split("/my/open/")[0] == shown.text.split("/my/open/")[0]
    assert sent.reply_to == "van@hollin.example"
    assert "<p>Kind regards</p>" in sent.html


def test_a_customer_without_an_address_has_no_letter(desk, cast):
    customer = cast.customer_a.customer
    customer.email = ""
    customer.save(update_fields=["email"])
    page = desk.get(reverse("desk:customer", args=[customer.pk])).content.decode()
    assert "Read the letter" not in page


def test_a_letter_tried_eight_times_says_so_and_is_sent_again(desk):
    mail = mail_enqueue(to="di@example.org", subject="Your bikes", text="here")
    job = Job.objects.get(payload__mail=str(mail.pk))
    Job.objects.update(attempts=8, given_up_at=job.created_at, error="MailRefused: no such place")
    page = " ".join(desk.get(reverse("desk:mails")).content.decode().split())
    assert "not sent after 8 tries" in page
    assert "no such place" in page
    desk.post(reverse("desk:mail-again", args=[mail.pk]))
    job.refresh_from_db()
    assert (job.attempts, job.given_up_at) == (0, None)
