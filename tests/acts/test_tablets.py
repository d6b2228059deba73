"""Acts from a tablet's queue: exactly once, in their order, by their author, in words."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import OperationalError, connection
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.acts import tablets
from jobs.acts.models import Act
from jobs.acts.registry import KINDS, Answer, Kind
from jobs.outbox.models import Mail
from jobs.people import devices
from jobs.people.access import ACCESS
from jobs.people.enums import CREW
from jobs.trackday.models import RunGroup

from .tablet_urls import FORM

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.acts.tablet_urls")]


class NotePayload(serializers.Serializer):
    words = serializers.CharField(max_length=20)


def write_note(context, data):
    """An effect that would be seen if it were written twice."""
    if data["words"] == "no":
        raise ValidationError(_("Not this one."))
    if data["words"] == "fault":
        raise ZeroDivisionError
    if data["words"] == "dangling":  # found out at the commit only
        RunGroup.objects.create(trackday_id=0, letter="Z", order=0)
    Mail.objects.create(pk=context.act_id, to="a@b.ie", subject=data["words"], text="-")
    return Answer("Noted.")


@pytest.fixture(autouse=True)
def _note_act(monkeypatch):
    monkeypatch.setitem(KINDS, "tests_note", Kind("tests_note", NotePayload, CREW, write_note))
    monkeypatch.setitem(ACCESS, FORM, CREW)
    cache.clear()


class Tablet:
    """An enrolled tablet with its own numbering, as queue.js sends."""

    def __init__(self, cast, **client) -> None:
        _, code = devices.device_prepare(name="yellow", by=cast.tuner)
        self.device, secret = devices.device_enrol(code=code, where_from="van")
        self.browser = Client(**client)
        self.browser.cookies[tablets.COOKIE] = f"{self.device.pk}.{secret}"

    def send(self, user, words="hot", **sent):
        answer = self.post(user, words, **sent)
        return answer.status_code, answer.json()

    def post(self, user, words, *, seq, act_id=None, **headers):
        act_id = str(act_id or uuid.uuid4())
        return self.browser.post(
            "/tests/note/",
            {"act_id": act_id, "words": words},
            headers={
                "Accept": "application/json",
                "X-Act-Id": act_id,
                "X-Act-Seq": str(seq),
                "X-Act-Pass": devices.pass_make(user=user, device=self.device),
                "X-Act-User": user.username,
                **headers,
            },
        )


@pytest.fixture
def tablet(cast) -> Tablet:
    devices.pin_set(user=cast.helper, pin="4711")
    devices.pin_set(user=cast.tuner, pin="4712")
    return Tablet(cast)


def test_an_act_is_applied_once_however_often_it_arrives(tablet, helper):
    act_id = uuid.uuid4()
    for already in (False, True, True):
        status, said = tablet.send(helper, seq=1, act_id=act_id)
        assert status == 200
        assert (said["outcome"], said["text"], said["already"]) == ("applied", "Noted.", already)
    assert Mail.objects.count() == 1
    act = Act.objects.get()
    assert (act.device, act.device_seq, act.by) == (tablet.device, 1, helper)


def test_a_later_act_waits_for_its_earlier_ones(tablet, helper):
    assert tablet.send(helper, seq=2) == (
        409,
        {
            "outcome": "out of turn",
            "text": "An earlier one has to arrive first.",
            "next_seq": 1,
        },
    )
    assert Act.objects.count() == 0
    assert tablet.send(helper, seq=1)[1]["outcome"] == "applied"
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"
    assert tablet.send(helper, seq=2)[1]["next_seq"] == 3


def test_a_refused_payload_gets_a_reason_and_the_next_act_may_follow(tablet, helper):
    _status, said = tablet.send(helper, "far too many words for it", seq=1)
    assert said["outcome"] == "refused"
    assert "words: Ensure this field has no more than 20 characters" in said["text"]
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"
    assert Mail.objects.count() == 1


def test_a_refused_form_gets_its_own_reason_and_the_next_act_may_follow(tablet, helper):
    act_id = uuid.uuid4()
    _status, said = tablet.send(helper, "", seq=1, act_id=act_id)
    assert (said["outcome"], said["text"]) == ("refused", "Say something.")
    assert tablet.send(helper, "", seq=1, act_id=act_id)[1]["already"] is True
    assert Act.objects.get().outcome == "refused"
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_a_refused_form_stays_refused_even_if_it_would_be_accepted_now(tablet, helper):
    act_id = uuid.uuid4()
    tablet.send(helper, "", seq=1, act_id=act_id)  # and the answer is lost
    _status, said = tablet.send(helper, "hot", seq=1, act_id=act_id)
    assert (said["outcome"], said["text"]) == ("refused", "Say something.")
    assert said["already"] is True
    assert Mail.objects.count() == 0
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_an_id_of_another_kind_is_refused_and_blocks_no_later_act(tablet, helper):
    act_id = uuid.uuid4()
    tablet.send(helper, seq=1, act_id=act_id)
    Act.objects.filter(pk=act_id).update(kind="hold")
    status, said = tablet.send(helper, seq=2, act_id=act_id)
    assert (status, said["outcome"]) == (200, "refused")
    assert "already used for something else" in said["text"]
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_a_fault_of_the_program_is_logged_and_blocks_no_later_act(tablet, helper, caplog):
    act_id = uuid.uuid4()
    for already in (False, True):
        status, said = tablet.send(helper, "fault", seq=1, act_id=act_id)
        assert (status, said["outcome"], said["already"]) == (200, "refused", already)
        assert "The program failed at this one" in said["text"]
    assert str(act_id) in caplog.text
    assert "ZeroDivisionError" in caplog.text
    act = Act.objects.get()
    assert (act.outcome, act.payload["words"]) == ("refused", "fault")
    assert Mail.objects.count() == 0
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_each_act_keeps_its_own_author_when_the_tablet_changes_hands(tablet, cast):
    tablet.browser.force_login(cast.tuner)
    tablet.browser.cookies[tablets.COOKIE]  # signing in leaves the tablet's own cookie alone
    tablet.send(cast.helper, seq=1)
    tablet.send(cast.tuner, seq=2)
    assert list(Act.objects.order_by("device_seq").values_list("by__username", flat=True)) == [
        "helper",
        "tuner",
    ]


def test_without_a_good_pass_nothing_is_applied_and_nothing_refused(tablet, helper):
    status, said = tablet.send(helper, seq=1, **{"X-Act-Pass": "forged"})
    assert (status, said["outcome"]) == (401, "sign in")
    assert Act.objects.count() == 0


def test_an_expired_session_of_an_ordinary_browser_asks_to_sign_in(cast, signed_in):
    act_id = str(uuid.uuid4())
    headers = {"Accept": "application/json", "X-Act-Id": act_id, "X-Act-User": "helper"}
    form = {"act_id": act_id, "words": "hot"}
    for browser in (Client(), signed_in(cast.tuner)):  # nobody, and somebody else
        answer = browser.post("/tests/note/", form, headers=headers)
        assert (answer.status_code, answer.json()["outcome"]) == (401, "sign in")
    answer = signed_in(cast.helper).post("/tests/note/", form, headers=headers)
    assert answer.json()["outcome"] == "applied"
    assert Act.objects.get().by == cast.helper


def test_a_role_without_permission_is_refused_with_a_reason(tablet, cast, monkeypatch):
    monkeypatch.setitem(ACCESS, FORM, frozenset({"tuner"}))
    said = tablet.send(cast.helper, seq=1)[1]
    assert (said["outcome"], said["text"]) == ("refused", "Your role may not do this.")


def test_an_act_with_an_old_csrf_token_is_neither_applied_nor_refused(cast):
    devices.pin_set(user=cast.helper, pin="4711")
    strict = Tablet(cast, enforce_csrf_checks=True)
    assert strict.send(cast.helper, seq=1)[:1] == (403,)
    assert Act.objects.count() == 0
    token = strict.browser.get("/tablet/hello/").json()["csrf"]
    assert strict.send(cast.helper, seq=1, **{"X-CSRFToken": token})[1]["outcome"] == "applied"


@pytest.mark.parametrize("wrong_by", [timedelta(hours=-5), timedelta(hours=7)])
def test_a_wrong_clock_is_corrected_and_both_times_are_stored(tablet, helper, wrong_by):
    done = datetime.now(UTC) - timedelta(minutes=40)
    tablet.send(
        helper,
        seq=1,
        **{
            "X-Act-At": (done + wrong_by).isoformat(),
            "X-Act-Offset": str(-wrong_by.total_seconds()),
        },
    )
    act = Act.objects.get()
    assert act.device_at == done + wrong_by
    assert act.done_at == done
    assert act.received_at - act.done_at >= timedelta(minutes=40)


# What a broken clock says, and what it would have added to it.
TOMORROW = {
    "ahead": ("2031-01-01T00:00:00+00:00", "0"),
    "ahead by its correction": ("2026-01-01T00:00:00+00:00", str(365 * 86400)),
    "a correction that is no number": ("2031-01-01T00:00:00+00:00", "nan"),
    "a correction without end": ("2031-01-01T00:00:00+00:00", "inf"),
    "a correction of a thousand years": ("2031-01-01T00:00:00+00:00", "31556952000"),
    "the last moment there is": ("9999-12-31T23:59:59+00:00", "86400"),
}


@pytest.mark.parametrize("said", TOMORROW)
def test_no_clock_makes_an_act_of_tomorrow(tablet, helper, said):
    at, offset = TOMORROW[said]
    sent = tablet.send(helper, seq=1, **{"X-Act-At": at, "X-Act-Offset": offset})
    assert sent[1]["outcome"] == "applied"
    act = Act.objects.get()
    assert act.done_at == act.received_at


def test_a_clock_before_1970_is_no_fault_and_the_act_is_applied(tablet, helper):
    at = {"X-Act-At": "0001-01-01T00:00:00+00:00", "X-Act-Offset": "-86400"}
    assert tablet.send(helper, seq=1, **at)[1]["outcome"] == "applied"
    assert Act.objects.get().done_at == datetime(1970, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    "at",
    ["", "noon", "2026-06-13T09:00:00", "2026-13-45T00:00:00+00:00", "0001-01-01T00:00:00+14:00"],
)
def test_an_act_whose_clock_cannot_be_read_counts_from_its_arrival(tablet, helper, at):
    assert tablet.send(helper, seq=1, **{"X-Act-At": at})[1]["outcome"] == "applied"
    act = Act.objects.get()
    assert (act.device_at, act.done_at) == (None, act.received_at)


def test_a_correction_that_is_no_number_corrects_nothing(tablet, helper):
    done = datetime.now(UTC) - timedelta(minutes=40)
    for seq, offset in enumerate(("nan", "inf", "-inf", "soon", "1e12"), 1):
        sent = {"X-Act-At": done.isoformat(), "X-Act-Offset": offset}
        assert tablet.send(helper, seq=seq, **sent)[1]["outcome"] == "applied"
    assert set(Act.objects.values_list("done_at", flat=True)) == {done}


def test_a_lost_tablet_is_told_to_wipe_itself_and_what_it_sent_stays(tablet, helper):
    tablet.send(helper, seq=1)
    tablet.device.shut_out_at = datetime.now(UTC)
    tablet.device.save()
    assert tablet.send(helper, seq=2) == (410, {"outcome": "shut out", "text": ""})
    assert tablet.browser.get("/tablet/hello/").status_code == 410
    assert Act.objects.count() == 1


def test_a_session_that_began_on_a_lost_tablet_is_lost_without_its_cookie_too(tablet, settings):
    request = RequestFactory().get("/")
    request.session = SessionStore()
    request.session[tablets.SESSION_KEY] = str(tablet.device.pk)
    request.session.save()
    request.COOKIES = {settings.SESSION_COOKIE_NAME: request.session.session_key}
    assert not tablets.is_lost(request)
    type(tablet.device).objects.update(shut_out_at=datetime.now(UTC))
    assert tablets.is_lost(request)
    request.COOKIES = {}
    assert not tablets.is_lost(request)


def test_a_form_posted_on_a_tablet_names_it_and_one_from_elsewhere_none(tablet, helper, day):
    url = reverse("board:do", args=[day.trackday.pk])
    for browser in (tablet.browser, Client()):
        browser.force_login(helper)
        form = {"act_id": str(uuid.uuid4()), "kind": "hold", "entry": day.entries[0].pk}
        browser.post(url, {**form, "words": "fork seal wet"})
    devices_of_acts = Act.objects.order_by("received_at").values_list("device", flat=True)
    assert list(devices_of_acts) == [tablet.device.pk, None]


def test_hello_gives_the_device_the_user_and_the_next_number(tablet, helper):
    said = tablet.browser.get("/tablet/hello/").json()
    assert (said["device"]["name"], said["user"], said["next_seq"]) == ("yellow", None, 1)
    tablet.send(helper, seq=1)
    assert tablet.browser.get("/tablet/hello/").json()["next_seq"] == 2


@pytest.mark.django_db(transaction=True)
def test_an_act_that_a_deadlock_undoes_at_the_commit_is_not_answered_and_can_be_sent_again(
    cast, monkeypatch
):
    """The tablet forgets an act when it is told that it was applied: told after the commit."""
    tablet = Tablet(cast, raise_request_exception=False)
    act_id = uuid.uuid4()
    with monkeypatch.context() as deadlock:
        deadlock.setattr(connection, "_commit", _deadlock)
        answer = tablet.post(cast.helper, "hot", seq=1, act_id=act_id)
    assert (answer.status_code, answer.json()["outcome"]) == (503, "waits")
    assert not Act.objects.exists()
    assert tablet.send(cast.helper, seq=1, act_id=act_id)[1]["outcome"] == "applied"
    assert Mail.objects.count() == 1


def _deadlock():
    connection.rollback()
    raise OperationalError("deadlock detected")


@pytest.mark.django_db(transaction=True)
def test_an_act_that_breaks_a_rule_of_the_database_at_the_commit_is_refused(cast):
    """Sent again it would break the rule again: it must not hold up the acts after it."""
    tablet = Tablet(cast, raise_request_exception=False)
    answer = tablet.post(cast.helper, "dangling", seq=1)
    assert (answer.status_code, answer.json()["outcome"]) == (200, "refused")
    assert list(Act.objects.values_list("outcome", flat=True)) == ["refused"]
    assert not Mail.objects.exists()
    assert tablet.send(cast.helper, seq=2)[1]["outcome"] == "applied"


def test_a_broken_id_is_refused(tablet, helper):
    assert tablet.send(helper, seq=1, act_id="seven")[1]["outcome"] == "refused"
