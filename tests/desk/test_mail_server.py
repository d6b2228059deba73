"""The mail server set on screen: tried by a letter to oneself, its password shown to nobody."""

import os
import re
import socket
import stat
import tarfile
import zipfile
from pathlib import Path

import pytest
from django.core import mail
from django.db import connection
from django.urls import reverse

from jobs.acts.takeaway import business_takeaway
from jobs.backups.services import backup_make
from jobs.outbox import worker
from jobs.outbox.mail_server import KEEPS_ONLY, mail_is_set_up
from jobs.outbox.models import Job, Mail, MailAccount
from jobs.outbox.services import mail_enqueue
from jobs.people.models import Edit, TrailEntry
from jobs.serving.authority import identity_of
from jobs.serving.names import van_of
from tests.mail_servers import PASSWORD, USER, mail_server

pytestmark = pytest.mark.django_db(transaction=True)

PAGE = reverse("desk:mail-server")
MAILS = reverse("desk:mails")


@pytest.fixture
def desk(signed_in, office, settings, tmp_path):
    settings.EMAIL_BACKEND = KEEPS_ONLY
    settings.DATA_DIR = tmp_path / "data"
    return signed_in(office)


@pytest.fixture
def server():
    with mail_server() as taken:
        yield taken


def typed(server, **changes) -> dict:
    values = {
        "sender": USER, "host": "127.0.0.1", "port": server.port, "encryption": "none",
        "user": "", "password": PASSWORD, "to": "me@example.org",
    }  # fmt: skip
    return values | changes


def keep(desk, fields) -> str:
    return desk.post(PAGE, fields, follow=True).content.decode()


def test_a_server_that_takes_the_test_letter_sends_every_later_one(desk, server):
    assert not mail_is_set_up()
    page = keep(desk, typed(server))
    assert "127.0.0.1 took the test letter to me@example.org." in page
    assert server.signed_in == [(USER, PASSWORD)]
    assert mail_is_set_up()
    assert "kept here and none goes out" not in page
    kept = mail_enqueue(to="ada@example.org", subject="Your bikes", text="Look.")
    worker.drain()
    kept.refresh_from_db()
    assert kept.sent_at is not None
    first, second = server.letters
    assert "To: me@example.org" in first
    assert re.search(rf"From: {USER}\s", second)
    assert f"Message-ID: <{kept.pk}@example.org>" in second


def test_who_set_it_is_in_the_trail_once_for_each_change(desk, server, office):
    keep(desk, typed(server))
    same = {"user": USER, "password": ""}
    keep(desk, typed(server, **same))  # only another test letter
    keep(desk, typed(server, **same, port="no number"))
    keep(desk, typed(server, **{**same, "password": "another one"}))
    kept = list(TrailEntry.objects.order_by("pk").values_list("event", "by", "ref"))
    assert kept == [("rights.mail", office.pk, str(MailAccount.objects.get().pk))] * 2


def test_the_password_is_on_no_page_in_no_table_no_export_no_backup_and_no_log(
    desk, server, settings, tmp_path, caplog, tuner, signed_in
):
    settings.BACKUP_DIR = tmp_path / "backups"
    caplog.set_level("DEBUG")
    keep(desk, typed(server))
    server.refuses["AUTH"] = "535 no"
    keep(desk, typed(server, user=USER))
    (file,) = [f for f in Path(settings.DATA_DIR).iterdir() if PASSWORD in f.read_text()]
    assert stat.S_IMODE(file.stat().st_mode) == 0o600

    pages = [desk.get(url).content.decode() for url in (PAGE, MAILS, reverse("desk:edits"))]
    pages.append(signed_in(tuner).get(reverse("desk:begin") + "?step=mail").content.decode())
    assert [PASSWORD in page for page in pages] == [False] * 4
    assert PASSWORD not in caplog.text
    assert PASSWORD not in str(list(Edit.objects.values()))
    made = backup_make(passphrase="")
    with tarfile.open(made.file) as backup:
        files = [f for member in backup if (f := backup.extractfile(member))]
        assert len(files) >= 3
        assert not any(PASSWORD.encode() in file.read() for file in files)
    with business_takeaway(by=tuner) as taken, zipfile.ZipFile(taken) as export:
        assert "outbox_mailaccount.csv" in [Path(name).name for name in export.namelist()]
        assert not [n for n in export.namelist() if PASSWORD.encode() in export.read(n)]
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            assert PASSWORD not in str(cursor.fetchall())


def test_a_kept_password_is_sent_to_no_other_server_user_or_encryption(desk, server):
    keep(desk, typed(server))
    with mail_server() as other:
        for changed in ({"port": other.port}, {"user": "other@example.org"}):
            page = keep(desk, typed(server, user=USER, password="") | changed)
            assert "given to no other: type it." in page
        assert (other.signed_in, len(server.signed_in)) == ([], 1)
    assert mail_is_set_up()
    page = keep(desk, typed(server, user=USER, password="", sender="workshop@example.org"))
    assert "took the test letter" in page
    assert "From: workshop@example.org" in server.letters[-1]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"host": "https://mail.example.org/"}, "The name of a server only"),
        ({"host": ""}, "This field is required."),
        ({"encryption": "none", "host": "mail.example.org"}, "can be read on its way"),
        ({"user": "me", "password": ""}, "Type the password of this user."),
        ({"password": "Schlüssel"}, "only ASCII letters"),
        ({"port": "70000"}, "less than or equal to 65535"),
        ({"sender": "the van"}, "valid email address"),
        ({"to": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_meant_is_said_at_its_field_and_nothing_is_sent(desk, server, fields, words):
    page = keep(desk, typed(server) | fields)
    assert words in page
    assert 'value="me@example.org"' in page or fields.get("to") == ""
    assert (server.letters, MailAccount.objects.count()) == ([], 0)


@pytest.mark.parametrize(
    ("refuses", "fields", "words"),
    [
        ({}, {"password": "wrong"}, "refused user or password."),
        ({}, {"password": "wrong"}, "It said: 535 5.7.8 No such user here"),
        ({"MAIL": "553 not yours"}, {}, "does not send for this sender. It said: 553 not yours"),
        ({"RCPT": "550 unknown"}, {}, "does not send to me@example.org. It said: 550 unknown"),
        ({"DATA": "554 looks like spam"}, {}, "refused the letter. It said: 554 looks like spam"),
        ({"EHLO": "502 what", "HELO": "502 what"}, {}, "It said: 502 what"),
        ({}, {"encryption": "starttls"}, "offers no sign-in with this encryption"),
        ({}, {"encryption": "tls"}, "speaks another encryption on port"),
        ({}, {"host": "no-such-host.invalid", "encryption": "tls"}, "No server of the name"),
    ],
)
def test_a_refusal_is_said_in_words_and_letters_are_kept(desk, server, refuses, fields, words):
    server.refuses.update(refuses)
    page = keep(desk, typed(server) | fields)
    assert words in page.replace("&#x27;", "'")
    assert not mail_is_set_up()
    assert MailAccount.objects.count() == 1  # what was typed stays
    assert "One is kept, and shown to nobody." in page
    kept = mail_enqueue(to="ada@example.org", subject="Your bikes", text="Look.")
    worker.drain()
    assert Mail.objects.get(pk=kept.pk).sent_at is None
    assert server.letters == []


def test_a_port_nobody_listens_on(desk, server):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        page = keep(desk, typed(server, port=free.getsockname()[1]))
    assert "127.0.0.1 accepts no connection on port" in page


def test_a_server_whose_certificate_cannot_be_trusted_is_sent_no_password(
    desk, tmp_path, monkeypatch
):
    van = identity_of(van_of("127.0.0.1"), home=tmp_path)
    with mail_server(van.server_file) as server:
        page = keep(desk, typed(server, encryption="tls"))
        assert "The certificate of 127.0.0.1 is not valid" in page
        assert server.signed_in == []
        trusted = tmp_path / "127.0.0.1" / "authority.pem"
        monkeypatch.setitem(os.environ, "SSL_CERT_FILE", str(trusted))
        page = keep(desk, typed(server, encryption="tls"))
        assert "took the test letter" in page
        assert server.signed_in == [(USER, PASSWORD)]


def test_a_letter_refused_later_says_why_and_can_be_sent_again(desk, server):
    keep(desk, typed(server))
    server.refuses["RCPT"] = "550 mailbox is full"
    kept = mail_enqueue(to="ada@example.org", subject="Your bikes", text="Look.")
    worker.drain()
    page = desk.get(MAILS).content.decode()
    assert "does not send to ada@example.org. It said: 550 mailbox is full" in page
    assert "It is tried again by itself." in page
    Job.objects.update(given_up_at=kept.created_at)
    again = reverse("desk:mail-again", args=[kept.pk])
    assert again in desk.get(MAILS).content.decode()
    server.refuses.clear()
    assert "It is being sent again." in desk.post(again, follow=True).content.decode()
    worker.drain()
    page = desk.get(MAILS).content.decode()
    assert ("mailbox is full" in page, again in page, len(server.letters)) == (False, False, 2)


def test_without_its_password_here_the_page_asks_for_it_and_letters_are_kept(
    desk, server, settings, tmp_path
):
    keep(desk, typed(server))
    settings.DATA_DIR = tmp_path / "restored"
    assert not mail_is_set_up()
    assert "The password for 127.0.0.1 is not in this place" in desk.get(PAGE).content.decode()
    assert "took the test letter" in keep(desk, typed(server))
    assert mail_is_set_up()


def test_the_environment_wins_and_the_page_says_so(desk, server, settings):
    keep(desk, typed(server))
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "mail.example", 587
    settings.DEFAULT_FROM_EMAIL = "Van <van@mail.example>"
    page = desk.get(PAGE).content.decode()
    assert "The variable MAIL_URL is set where the program runs, and wins" in page
    assert "letters go by mail.example, port 587, from Van &lt;van@mail.example&gt;" in " ".join(
        page.split()
    )
    assert 'name="password"' not in page
    page = keep(desk, typed(server, host="elsewhere.example"))
    assert "mail.example took the test letter" in page
    assert (len(mail.outbox), len(server.letters)) == (1, 1)
    assert MailAccount.objects.get().host == "127.0.0.1"


def test_a_sender_of_the_environment_wins_too(desk, server, settings):
    settings.MAIL_FROM = "Van <van@mail.example>"
    assert "The variable MAIL_FROM is set" in desk.get(PAGE).content.decode()
    keep(desk, typed(server))
    assert "From: Van <van@mail.example>" in server.letters[0]


def test_the_demo_sets_no_mail_server(desk, server, settings):
    settings.DEMO = True
    page = desk.get(PAGE).content.decode()
    assert ("The demo sends nothing" in page, 'name="host"' in page) == (True, False)
    assert "The demo sends nothing" in desk.get(MAILS).content.decode()
    assert "The demo sends nothing" in keep(desk, typed(server))
    assert (server.signed_in, MailAccount.objects.count()) == ([], 0)


def test_a_helper_sets_nothing_and_sends_nothing_again(signed_in, helper, server, desk):
    client = signed_in(helper)
    assert client.get(PAGE).status_code == 403
    assert client.post(PAGE, typed(server)).status_code == 403
    again = reverse("desk:mail-again", args=["00000000-0000-4000-8000-000000000000"])
    assert client.post(again).status_code == 403


@pytest.mark.parametrize("letters", [1, 9])
def test_the_page_costs_the_same_queries_at_any_number_of_letters(
    desk, letters, django_assert_num_queries
):
    for number in range(letters):
        mail_enqueue(to=f"b{number}@example.org", subject="S", text="T")
    Job.objects.update(error="MailRefused: full")
    desk.get(MAILS)
    with django_assert_num_queries(6):
        desk.get(MAILS)


def test_the_beginning_asks_the_same_and_stays_at_the_step_until_a_letter_went_out(
    desk, server, signed_in, tuner
):
    client, step = signed_in(tuner), reverse("desk:begin-step", args=["mail"])
    page = client.post(step, typed(server, password="wrong"), follow=True).content.decode()
    assert "refused user or password." in page
    assert f'action="{step}#mail"' in page
    page = client.post(step, typed(server), follow=True).content.decode()
    assert "took the test letter" in page
    assert "a test letter went out" in page
