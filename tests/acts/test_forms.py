"""Forms of acts: which they say they are, how a page answers, what a tablet may send."""

import json
import re
import uuid

import pytest
from django.template import Context, Template

from jobs.acts.models import Act
from jobs.acts.registry import KINDS
from tests.shape.source import ROOT

TEMPLATES = sorted((ROOT / "jobs").glob("*/templates/**/*.html"))
FORM = re.compile(r"\{% act_fields (.*?) %\}", re.DOTALL)


def sent_by(user, act_id, **more) -> dict:
    headers = {"Accept": "application/json", "X-Act-Id": str(act_id), "X-Act-User": user.username}
    return {"headers": headers | more}


def post(browser, user, act, act_id=None):
    act_id = act_id or uuid.uuid4()
    text = act if isinstance(act, str) else json.dumps(act)
    return browser.post("/tablet/act/", {"act": text}, **sent_by(user, act_id))


def kept(entry, **more) -> dict:
    return {
        "kind": "hold", "version": 1, "trackday": entry.trackday_id,
        "payload": {"entry": str(entry.pk), "words": "fork seal wet"}, **more,
    }  # fmt: skip


def test_every_form_of_an_act_says_which_acts_it_posts():
    plain = [
        str(path.relative_to(ROOT))
        for path in TEMPLATES
        if re.search(r'name="act_id"', path.read_text())
    ]
    assert plain == []
    named = [
        kind
        for path in TEMPLATES
        for call in FORM.findall(path.read_text())
        for kind in re.findall(r'"([^"]+)"', call.partition("=")[0])
    ]
    assert set(named) <= set(KINDS)
    assert len(named) > 60


@pytest.mark.django_db
def test_the_hidden_fields_name_the_version_the_day_and_what_it_is_about(day):
    entry = day.entries[0]
    tag = '{% load acts %}{% act_fields "change" "order" entry=entry.pk %}'
    html = Template(tag).render(Context({"entry": entry}))
    assert html == (
        f'<input type="hidden" name="act_id" data-trackday="{day.trackday.pk}">'
        '<input type="hidden" name="act_kinds" value="change/1,order/1">'
        f'<input type="hidden" name="entry" value="{entry.pk}">'
    )


@pytest.mark.django_db
def test_a_kept_act_is_applied_once_however_often_it_arrives(day, cast, signed_in):
    browser, act_id = signed_in(cast.helper), uuid.uuid4()
    for already in (False, True):
        said = post(browser, cast.helper, kept(day.entries[0]), act_id).json()
        assert (said["outcome"], said["already"]) == ("applied", already)
    act = Act.objects.get()
    assert (act.kind, act.version, act.trackday_id) == ("hold", 1, day.trackday.pk)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "broken",
    [
        "", "{", "[]", '"hold"', '{"kind": "hold"}',
        '{"kind": "hold", "version": "1", "payload": {}, "trackday": null}',
        '{"kind": "hold", "version": 1, "payload": [], "trackday": null}',
        '{"kind": "hold", "version": 1, "payload": {"entry": 5}, "trackday": null}',
        '{"kind": "hold", "version": 1, "payload": {"entry": ["5", {}]}, "trackday": null}',
        '{"kind": "hold", "version": 1, "payload": {}, "trackday": "7"}',
        '{"kind": ["hold"], "version": 1, "payload": {}, "trackday": null}',
    ],
)  # fmt: skip
def test_what_is_no_kept_act_is_refused_and_kept_in_the_trail(day, cast, signed_in, broken):
    said = post(signed_in(cast.helper), cast.helper, broken).json()
    assert (said["outcome"], said["text"]) == ("refused", "What this tablet sent is not an act.")
    assert Act.objects.get().payload == {"address": "/tablet/act/", "act": broken}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("more", "reason"),
    [
        ({"kind": "fly"}, "There is no act called “fly”."),
        ({"version": 9}, "Version 9 of “hold” is not known here."),
        ({"payload": {"words": "wet"}}, "entry: This field is required."),
        ({"payload": {"entry": "no", "words": "wet"}}, "entry: Incorrect type."),
    ],
)
def test_what_no_version_holds_is_refused_in_words(day, cast, signed_in, more, reason):
    said = post(signed_in(cast.helper), cast.helper, kept(day.entries[0], **more)).json()
    assert said["outcome"] == "refused"
    assert said["text"].startswith(reason)
    assert Act.objects.get().outcome == "refused"


@pytest.mark.django_db
def test_an_act_the_form_refused_is_kept_with_all_that_was_entered(day, cast, signed_in):
    adjuster = day.entries[0].bike.adjusters.get(end="rear", function="rebound")
    fields = {"entry": str(day.entries[0].pk), f"at-{adjuster.pk}": "nine"}
    act = kept(day.entries[0], kind="count", payload=fields)
    said = post(signed_in(cast.helper), cast.helper, act).json()
    assert (said["outcome"], said["text"]) == (
        "refused",
        "Rear rebound: “nine” is not a number.",
    )
    refused = Act.objects.get()
    assert (refused.kind, refused.payload) == ("form", act)


@pytest.mark.django_db
def test_the_address_of_the_queues_takes_nothing_else(day, cast, signed_in):
    browser = signed_in(cast.helper)
    assert (
        browser.post("/tablet/act/", {"act": json.dumps(kept(day.entries[0]))}).status_code == 400
    )
    assert browser.get("/tablet/act/").status_code == 405
    assert post(signed_in(cast.customer_a), cast.customer_a, kept(day.entries[0])).json() == {
        "outcome": "refused", "text": "Your role may not do this.", "already": False, "next": "",
    }  # fmt: skip
    assert not Act.objects.filter(kind="hold").exists()


@pytest.mark.django_db
def test_a_form_of_before_an_upgrade_is_read_in_its_own_version(day, cast, signed_in, monkeypatch):
    """The page says which version its fields are; one that says none is of the first."""
    seen = []
    monkeypatch.setattr(
        "jobs.acts.web.form_payload", lambda kind, version, form: seen.append(version) or {}
    )
    browser, address = signed_in(cast.helper), f"/bikes/{day.entries[0].pk}/act/hold/"
    for kinds in ("", "hold/2", "change/3,hold/2", "change/3"):
        browser.post(address, {"act_kinds": kinds, "words": "wet"})
    assert seen == [1, 2, 2, 1]


def test_a_form_says_every_kind_that_its_address_or_its_buttons_post():
    missing = []
    for path in TEMPLATES:
        text = path.read_text()
        for call in FORM.finditer(text):
            form = text[
                max(text.rfind("<form", 0, call.start()), 0) : text.find("</form>", call.end())
            ]
            posted = set(re.findall(r'(?:advice|sheet)-act"\s+entry.pk\s+"([^"]+)"', form))
            posted |= set(re.findall(r'data-kind="([^"]+)"', form))
            if "board:do" in form:
                posted |= set(re.findall(r'name="kind"\s+value="([^"{]+)"', form))
            said = set(re.findall(r'"([^"]+)"', re.split(r"\s\w+=", call[1])[0]))
            missing += [(path.name, kind) for kind in posted - said]
    assert missing == []
