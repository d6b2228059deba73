"""Acts from a tablet's queue: exactly once, in their order, by their author, in words."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.test import Client
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
    if data["words"] == "dangling":  # found out at the commit only, as a deadlock may be
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


def test_what_the_door_refuses_is_told_in_words_and_has_had_its_turn(tablet, helper):
    _status, said = tablet.send(helper, "far too many words for it", seq=1)
    assert said["outcome"] == "refused"
    assert "words: Ensure this field has no more than 20 characters" in said["text"]
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"
    assert Mail.objects.count() == 1


def test_what_a_form_refuses_is_told_in_its_own_words_and_has_had_its_turn(tablet, helper):
    act_id = uuid.uuid4()
    _status, said = tablet.send(helper, "", seq=1, act_id=act_id)
    assert (said["outcome"], said["text"]) == ("refused", "Say something.")
    assert tablet.send(helper, "", seq=1, act_id=act_id)[1]["already"] is True
    assert Act.objects.get().outcome == "refused"
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_what_a_form_refused_stays_refused_when_it_would_take_it_by_now(tablet, helper):
    act_id = uuid.uuid4()
    tablet.send(helper, "", seq=1, act_id=act_id)  # and the answer is lost
    _status, said = tablet.send(helper, "hot", seq=1, act_id=act_id)
    assert (said["outcome"], said["text"]) == ("refused", "Say something.")
    assert said["already"] is True
    assert Mail.objects.count() == 0
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_an_id_of_another_kind_is_refused_and_holds_up_nothing(tablet, helper):
    act_id = uuid.uuid4()
    tablet.send(helper, seq=1, act_id=act_id)
    Act.objects.filter(pk=act_id).update(kind="hold")
    status, said = tablet.send(helper, seq=2, act_id=act_id)
    assert (status, said["outcome"]) == (200, "refused")
    assert "already used for something else" in said["text"]
    assert tablet.send(helper, seq=2)[1]["outcome"] == "applied"


def test_a_fault_of_the_program_holds_up_nothing_and_is_logged(tablet, helper, caplog):
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


def test_a_role_that_may_not_is_refused_in_words(tablet, cast, monkeypatch):
    monkeypatch.setitem(ACCESS, FORM, frozenset({"tuner"}))
    said = tablet.send(cast.helper, seq=1)[1]
    assert (said["outcome"], said["text"]) == ("refused", "Your role may not do this.")


def test_a_stale_token_says_nothing_of_the_act(cast):
    devices.pin_set(user=cast.helper, pin="4711")
    strict = Tablet(cast, enforce_csrf_checks=True)
    assert strict.send(cast.helper, seq=1)[:1] == (403,)
    assert Act.objects.count() == 0
    token = strict.browser.get("/tablet/hello/").json()["csrf"]
    assert strict.send(cast.helper, seq=1, **{"X-CSRFToken": token})[1]["outcome"] == "applied"


@pytest.mark.parametrize("wrong_by", [timedelta(hours=-5), timedelta(hours=7)])
def test_a_wrong_clock_is_corrected_and_both_times_are_kept(tablet, helper, wrong_by):
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


def test_no_clock_makes_an_act_of_tomorrow(tablet, helper):
    tablet.send(helper, seq=1, **{"X-Act-At": "2031-01-01T00:00:00+00:00", "X-Act-Offset": "nan"})
    act = Act.objects.get()
    assert act.done_at == act.received_at


def test_a_lost_tablet_is_told_to_wipe_itself_and_what_it_sent_stays(tablet, helper):
    tablet.send(helper, seq=1)
    tablet.device.shut_out_at = datetime.now(UTC)
    tablet.device.save()
    assert tablet.send(helper, seq=2) == (410, {"outcome": "shut out", "text": ""})
    assert tablet.browser.get("/tablet/hello/").status_code == 410
    assert Act.objects.count() == 1


def test_hello_says_who_is_who_and_what_comes_next(tablet, helper):
    said = tablet.browser.get("/tablet/hello/").json()
    assert (said["device"]["name"], said["user"], said["next_seq"]) == ("yellow", None, 1)
    tablet.send(helper, seq=1)
    assert tablet.browser.get("/tablet/hello/").json()["next_seq"] == 2


@pytest.mark.django_db(transaction=True)
def test_what_fails_at_the_commit_is_never_told_as_applied(cast):
    """The tablet forgets an act when it is told of it: it is told after the commit."""
    tablet = Tablet(cast, raise_request_exception=False)
    answer = tablet.post(cast.helper, "dangling", seq=1)
    assert answer.status_code == 500
    assert b"applied" not in answer.content
    assert not Act.objects.exists()
    assert tablet.send(cast.helper, seq=1)[1]["outcome"] == "applied"


def test_a_broken_id_is_refused(tablet, helper):
    assert tablet.send(helper, seq=1, act_id="seven")[1]["outcome"] == "refused"
