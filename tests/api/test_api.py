"""The API: acts answered one by one, reads that cost the same at any size, own bikes only."""

import json
import uuid
from dataclasses import replace

import pytest
from django.core.management import call_command
from django.db import DataError, OperationalError
from django.urls import reverse

from jobs.acts.models import Act
from jobs.acts.registry import KINDS
from jobs.setups.models import Adjustment
from tests.days import day_build, local
from tests.queries import page_queries


@pytest.fixture
def day(cast):
    customers = [cast.customer_a.customer, cast.customer_b.customer]
    return day_build(bikes=2, at=local(9, 40), customers=customers)


def send(client, *acts):
    body = json.dumps({"acts": list(acts)})
    answer = client.post(reverse("api:acts"), body, content_type="application/json")
    assert answer.status_code == 200, answer.content
    return answer.json()["answers"]


def act(kind, day, **payload):
    return {
        "id": str(uuid.uuid4()), "kind": kind, "payload": payload, "trackday": day.trackday.pk
    }  # fmt: skip


def change(day, entry, start, to):
    adjuster = entry.bike.adjusters.get(end="rear", function="rebound")
    move = {"adjuster": adjuster.pk, "from_position": str(start), "to_position": str(to)}
    return act("change", day, entry=entry.pk, moves=[move])


def test_acts_are_answered_one_by_one_applied_unplaced_refused(day, signed_in, tuner):
    entry = day.entries[0]
    adjuster = entry.bike.adjusters.get(end="rear", function="rebound")
    count = act(
        "count", day, entry=entry.pk, counts=[{"adjuster": adjuster.pk, "position": "12"}]
    )  # fmt: skip
    answers = send(
        signed_in(tuner), count, change(day, entry, 12, 10), change(day, entry, 14, 13),
        change(day, entry, 10, 99), act("no such thing", day),
    )  # fmt: skip
    assert [a["outcome"] for a in answers] == [
        "applied", "applied", "unplaced", "refused", "refused",
    ]  # fmt: skip
    assert "Never force an end" in answers[3]["text"]
    assert answers[4]["text"] == "There is no act called “no such thing”."
    assert answers[1]["revision"] == answers[0]["revision"] + 1
    assert Adjustment.objects.filter(state="placed").count() == 2


def test_the_same_act_again_is_answered_the_same_and_done_once(day, signed_in, tuner):
    client, arrived = signed_in(tuner), act("arrived", day, entry=day.entries[0].pk)
    [first] = send(client, arrived)
    [second] = send(client, arrived)
    assert (first["already"], second["already"]) == (False, True)
    assert {**second, "already": False} == first
    assert Act.objects.count() == 1


def test_one_id_for_two_things_is_refused_and_the_rest_goes_on(day, signed_in, tuner):
    arrived = act("arrived", day, entry=day.entries[0].pk)
    other = {**act("gone home", day, entry=day.entries[1].pk), "id": arrived["id"]}
    last = act("arrived", day, entry=day.entries[1].pk)
    answers = send(signed_in(tuner), arrived, other, last)
    assert [a["outcome"] for a in answers] == ["applied", "refused", "applied"]


def test_an_act_that_cannot_be_read_is_refused_and_the_others_go_on(day, signed_in, tuner):
    arrived = act("arrived", day, entry=day.entries[0].pk)
    without_kind = {"id": str(uuid.uuid4()), "payload": {}, "trackday": 0}
    answers = send(signed_in(tuner), {"id": "x"}, 7, without_kind, arrived)
    assert [a["outcome"] for a in answers] == ["refused", "refused", "refused", "applied"]
    assert [a["id"] for a in answers] == [None, None, without_kind["id"], arrived["id"]]
    assert "id: Must be a valid UUID." in answers[0]["text"]
    assert "kind: This field is required." in answers[2]["text"]
    assert 'trackday: Invalid pk "0"' in answers[2]["text"]
    kept = Act.objects.get(pk=without_kind["id"])
    assert (kept.outcome, kept.payload) == ("refused", without_kind)


@pytest.mark.parametrize("body", ['{"acts": [', '{"acts": 7}', '{"acts": []}', "[" * 100000])
def test_a_body_without_acts_is_rejected_in_words(signed_in, tuner, body):
    client = signed_in(tuner)
    answer = client.post(reverse("api:acts"), body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()


def test_one_id_with_other_content_is_refused_and_the_first_is_not_repeated(day, signed_in, tuner):
    client, first = signed_in(tuner), change(day, day.entries[0], 12, 10)
    other = {**change(day, day.entries[0], 12, 9), "id": first["id"]}
    [applied] = send(client, first)
    [refused] = send(client, other)
    [again] = send(client, first)
    assert (applied["outcome"], refused["outcome"], again["outcome"]) == (
        "applied", "refused", "applied",
    )  # fmt: skip
    assert (refused["already"], again["already"]) == (False, True)
    assert "already used for something else" in refused["text"]
    assert Adjustment.objects.get().to_position == 10


def test_an_act_at_which_the_program_fails_is_refused_kept_and_stops_no_other(
    day, signed_in, tuner, monkeypatch, caplog
):
    def failing(context, data):
        raise DataError("value out of range")

    monkeypatch.setitem(KINDS, "gone home", replace(KINDS["gone home"], handler=failing))
    failed = act("gone home", day, entry=day.entries[0].pk)
    arrived = act("arrived", day, entry=day.entries[1].pk)
    answers = send(signed_in(tuner), failed, arrived)
    assert [a["outcome"] for a in answers] == ["refused", "applied"]
    assert "The program failed at this one" in answers[0]["text"]
    assert failed["id"] in caplog.text
    assert Act.objects.get(pk=failed["id"]).payload["payload"] == failed["payload"]


def test_while_the_database_is_away_acts_wait_and_those_before_are_answered(
    day, signed_in, tuner, monkeypatch
):
    def failing(context, data):
        raise OperationalError("the connection is closed")

    monkeypatch.setitem(KINDS, "gone home", replace(KINDS["gone home"], handler=failing))
    arrived = act("arrived", day, entry=day.entries[1].pk)
    waits = act("gone home", day, entry=day.entries[0].pk)
    body = json.dumps({"acts": [arrived, waits]})
    answer = signed_in(tuner).post(reverse("api:acts"), body, content_type="application/json")
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "10")
    assert answer.json()["error"] == "The database cannot be reached."
    assert [a["id"] for a in answer.json()["answers"]] == [arrived["id"]]
    assert not Act.objects.filter(pk=waits["id"]).exists()


def test_a_helper_does_what_a_helper_may(day, signed_in, helper):
    [answer] = send(signed_in(helper), change(day, day.entries[0], 12, 10))
    assert (answer["outcome"], "by order only" in answer["text"]) == ("refused", True)


def test_customers_and_the_office_send_no_acts(day, signed_in, customer_a, office):
    for user in (customer_a, office):
        assert signed_in(user).post(reverse("api:acts")).status_code == 403


def test_kinds_name_their_fields(signed_in, helper, tuner):
    kinds = {k["name"]: k for k in signed_in(tuner).get(reverse("api:kinds")).json()}
    assert sorted(kinds) == sorted(KINDS)
    assert kinds["hold"]["payload"]["words"]["required"] is True
    assert set(kinds["change"]["payload"]["moves"]["of"]) == {
        "adjuster", "from_position", "to_position",
    }  # fmt: skip
    assert "order" not in {k["name"] for k in signed_in(helper).get(reverse("api:kinds")).json()}


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_a_board_costs_the_same_queries_at_any_size(signed_in, tuner, bikes):
    day = day_build(bikes=bikes, at=local(9, 40))
    assert page_queries(signed_in(tuner), reverse("api:board", args=[day.trackday.pk])) == 19


def test_a_board_tells_states_and_no_contacts_or_money(day, signed_in, helper):
    send(signed_in(helper), act("hold", day, entry=day.entries[0].pk, words="oil on the fork"))
    answer = signed_in(helper).get(reverse("api:board", args=[day.trackday.pk]))
    board = answer.json()
    assert {b["state"] for b in board["bikes"]} == {"not_arrived"}
    assert board["bikes"][0]["holds"][0]["words"] == "oil on the fork"
    assert len(board["sessions"]) == 24
    for word in ("phone", "email", "price", "payer"):
        assert word not in answer.content.decode()


@pytest.mark.parametrize("changes", [1, 3, 40])
def test_a_bikes_day_costs_the_same_queries_at_any_length(day, signed_in, tuner, changes):
    client, entry = signed_in(tuner), day.entries[0]
    for turn in range(changes):
        start, to = (12, 11) if turn % 2 == 0 else (11, 12)
        [answer] = send(client, change(day, entry, start, to))
        assert answer["outcome"] == "applied"
    assert page_queries(client, reverse("api:bike-day", args=[entry.pk])) == 8
    assert page_queries(client, reverse("api:bike", args=[entry.bike_id])) == 6
    told = client.get(reverse("api:bike-day", args=[entry.pk])).json()
    assert len(told["changes"]) == changes
    assert told["changes"][0]["text"] == "Rear rebound from 12 out to 11 out: 1 click firmer."
    [rebound] = [p for p in told["stands"] if (p["end"], p["function"]) == ("rear", "rebound")]
    assert rebound["words"].endswith("clicks out from closed")


def test_a_customer_sees_own_bikes_only(day, signed_in, customer_a):
    client = signed_in(customer_a)
    mine, other = day.entries
    assert [b["id"] for b in client.get(reverse("api:bikes")).json()] == [mine.bike_id]
    assert client.get(reverse("api:bike", args=[mine.bike_id])).status_code == 200
    assert client.get(reverse("api:bike", args=[other.bike_id])).status_code == 404
    assert client.get(reverse("api:bike-day", args=[other.pk])).status_code == 404
    assert client.get(reverse("api:board", args=[day.trackday.pk])).status_code == 403


def test_the_schema_describes_every_address(signed_in, helper, tmp_path):
    """OpenAPI 3, checked by drf-spectacular against the OpenAPI JSON schema; no warnings."""
    file = tmp_path / "schema.json"
    options = ("--validate", "--fail-on-warn", "--format", "openapi-json", "--file", str(file))
    call_command("spectacular", *options)
    components = json.loads(file.read_text())["components"]["schemas"]
    told_apart = components["ActOfAnyKind"]["discriminator"]
    assert told_apart["propertyName"] == "kind"
    assert sorted(told_apart["mapping"]) == sorted(KINDS)
    assert components["HoldAct"]["properties"]["payload"] == {
        "$ref": "#/components/schemas/HoldPayload"
    }
    assert "words" in components["HoldPayload"]["properties"]
    text = file.read_text()
    for path in ("/api/acts/", "/api/days/{id}/board/", "/api/bikes/{id}/"):
        assert path in text
    assert signed_in(helper).get(reverse("api:schema")).status_code == 200


def test_whatever_the_api_refuses_is_refused_in_json(day, signed_in, helper, stranger):
    """Also where no view is asked, and whatever the caller says they accept."""
    asked = {
        "/api/days/": (stranger, 401),
        "/api/bikes/none/": (signed_in(helper), 404),
        "/api/bikes/999999/": (signed_in(helper), 404),
        "/api/export/": (signed_in(helper), 403),
    }
    for path, (client, status) in asked.items():
        answer = client.get(path, headers={"Accept": "text/html"} if status != 404 else {})
        assert (answer.status_code, answer["Content-Type"]) == (status, "application/json"), path
        assert answer.json().get("error") or answer.json().get("detail"), path
