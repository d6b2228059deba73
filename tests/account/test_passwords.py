"""A password changed, forgotten, and lost for good."""

import re
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from jobs.account.tasks import reset_mail
from jobs.outbox.models import Job, Mail
from jobs.outbox.registry import JobInput
from jobs.people.models import Edit, User
from jobs.people.sign_in import ADDRESS_TRIES
from tests.conftest import PASSWORD
from tests.queries import queries

pytestmark = pytest.mark.django_db

NEW = "tarmac-and-rain-9"


def sign_in(username, password, browser=None):
    form = {"username": username, "password": password}
    return (browser or Client()).post(reverse("signin"), form).status_code == 302


def change(browser, old=PASSWORD, new=NEW, again=None):
    form = {"old_password": old, "new_password1": new, "new_password2": again or new}
    return browser.post(reverse("account:password"), form)


@pytest.fixture
def mail_goes_out(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


@pytest.fixture
def with_mail(tuner):
    tuner.email = "tess@example.org"
    tuner.save()
    return tuner


def ask(email="tess@example.org", **extra):
    return Client().post(reverse("account:forgotten"), {"email": email}, follow=True, **extra)


def sent_link():
    """What a worker does with the jobs asked for; the path of the link in the mail it sends."""
    for job in Job.objects.filter(handler="account.reset_mail", done_at=None):
        reset_mail(JobInput(id=job.pk, payload=job.payload))
    found = re.search(r"http\S+(/account/new-password/\S+)", mail.outbox[-1].body)
    assert found is not None
    return found[1]


def new_password(link, password=NEW):
    """Opens the link as a browser does and sends the form."""
    browser = Client()
    page = browser.get(link, follow=True)
    if not page.redirect_chain:
        return page
    return browser.post(
        page.redirect_chain[-1][0], {"new_password1": password, "new_password2": password}
    )


def test_the_password_is_changed_and_other_browsers_have_to_sign_in_again(tuner):
    here, there = Client(), Client()
    assert sign_in(tuner.username, PASSWORD, here)
    assert sign_in(tuner.username, PASSWORD, there)
    assert change(here).url == reverse("account:home")
    assert here.get(reverse("account:home")).status_code == 200
    assert there.get(reverse("account:home")).status_code == 302
    assert sign_in(tuner.username, NEW)
    assert not sign_in(tuner.username, PASSWORD)
    edit = Edit.objects.get(what="password")
    assert (edit.by, edit.ref, edit.changes) == (tuner, str(tuner.pk), {})


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ({"old": "wrong"}, b"That is not your password."),
        ({"new": "short"}, b"too short"),
        ({"new": "password123"}, b"too common"),
        ({"again": "another-one-7"}, b"match"),
    ],
)
def test_a_change_that_cannot_be_is_refused_in_words(signed_in, tuner, fault, words):
    page = change(signed_in(tuner), **fault)
    assert page.status_code == 200
    assert words in page.content
    assert sign_in(tuner.username, PASSWORD)


def test_the_password_cannot_be_guessed_in_a_browser_found_signed_in(signed_in, tuner):
    browser = signed_in(tuner)
    for _ in range(5):
        assert b"not your password" in change(browser, old="wrong").content
    assert b"Please wait a minute" in change(browser).content
    assert sign_in(tuner.username, PASSWORD)


def test_who_signs_in_by_pin_only_is_told_so(signed_in, helper):
    helper.set_unusable_password()
    helper.save()
    browser = signed_in(helper)
    assert b"by PIN on the business" in browser.get(reverse("account:home")).content
    assert b"no password to change" in browser.get(reverse("account:password")).content


def test_a_link_by_mail_sets_a_new_password_once_and_is_kept_nowhere(mail_goes_out, with_mail):
    page = ask()
    assert b"is on its way" in page.content
    link = sent_link()
    assert mail.outbox[-1].to == ["tess@example.org"]
    assert not Mail.objects.exists()  # the desk's mail page shows it to nobody
    assert [job.payload for job in Job.objects.all()] == [{"user": with_mail.pk}]
    assert new_password(link).url == reverse("signin")
    assert sign_in(with_mail.username, NEW)
    assert Edit.objects.get(what="password").by == with_mail
    assert b"opens nothing any more" in new_password(link, "another-one-77").content
    assert sign_in(with_mail.username, NEW)


def test_a_link_ends_after_an_hour_and_with_a_sign_in(mail_goes_out, with_mail):
    ask()
    link = sent_link()
    with time_machine.travel(timedelta(hours=1, seconds=2)):
        assert b"opens nothing any more" in new_password(link).content
    sign_in(with_mail.username, PASSWORD)
    assert b"opens nothing any more" in new_password(link).content


def test_sessions_of_whoever_knew_the_old_password_end(mail_goes_out, with_mail):
    there = Client()
    sign_in(with_mail.username, PASSWORD, there)
    ask()
    new_password(sent_link())
    assert there.get(reverse("account:home")).status_code == 302


def test_nobody_learns_who_is_here_and_customers_get_no_password(mail_goes_out, cast):
    cast.customer_a.email = "ada@example.org"
    cast.customer_a.save()
    pages = [ask("nobody@example.org"), ask("ada@example.org")]
    assert [b"is on its way" in page.content for page in pages] == [True, True]
    for job in Job.objects.filter(handler="account.reset_mail"):
        reset_mail(JobInput(id=job.pk, payload=job.payload))
    assert mail.outbox == []


def test_asking_costs_the_same_whether_anybody_has_the_address(mail_goes_out, with_mail):
    """An answer that took longer would tell who is here."""
    ask("somebody@example.org")  # the first of this address in the network is kept anew
    asked = []
    for email in ("nobody@example.org", with_mail.email):
        with queries() as counted:
            ask(email)
        asked.append(len(counted))
    assert asked[0] == asked[1]


def test_nobody_is_sent_mail_without_end(mail_goes_out, with_mail):
    for number in range(7):
        page = ask(REMOTE_ADDR=f"192.0.2.{number}")
    assert b"Please wait a minute" in page.content
    for number in range(ADDRESS_TRIES + 1):
        page = ask(f"name{number}@example.org", REMOTE_ADDR="198.51.100.9")
    assert b"Please wait a minute" in page.content
    assert Job.objects.filter(payload__user=with_mail.pk).count() == 5
    assert Job.objects.count() == 5 + ADDRESS_TRIES


def test_without_mail_it_says_what_to_run(settings, with_mail):
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    page = Client().get(reverse("account:forgotten"))
    assert b"No mail is set up" in page.content
    assert b"manage.py signin_link" in page.content
    assert b"No mail is set up" in ask().content
    assert not Job.objects.exists()


def test_somebody_who_waits_after_wrong_tries_signs_in_with_the_new_password(
    mail_goes_out, with_mail
):
    for _ in range(6):
        sign_in(with_mail.username, "wrong")
    ask()
    new_password(sent_link())
    assert sign_in(with_mail.username, NEW)


def command(*args):
    out = StringIO()
    call_command("signin_link", *args, stdout=out)
    return out.getvalue()


def test_the_server_prints_a_link_for_who_has_no_mail(tuner, settings):
    said = command(tuner.username)
    found = re.search(rf"{re.escape(settings.PUBLIC_URL)}(/account/new-password/\S+)", said)
    assert found is not None
    assert new_password(found[1]).url == reverse("signin")
    assert sign_in(tuner.username, NEW)


def test_the_server_names_who_there_is(cast):
    assert command() == "Who may sign in: helper (helper), office (office), tuner (tuner).\n"
    with pytest.raises(CommandError, match=r"has the name 'tess'. There is: helper \(helper\), "):
        command("tess")
    User.objects.filter(username="helper").update(is_active=False)
    with pytest.raises(CommandError, match="has the name 'helper'"):
        command("helper")
