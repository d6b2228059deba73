"""What a tablet keeps of an act, and that what older pages kept is applied too."""

import base64

import pytest
from playwright.sync_api import expect

from jobs.acts.models import Act
from jobs.setups.models import Adjustment, BikePhoto
from jobs.trackday.models import BikeMove, Conditions
from jobs.worklist.models import Hold
from tests.acts.corpus_day import act_id, picture
from tests.outbox.processes import until
from tests.setups.writing import count, rear_rebound

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

# Written straight into the browser's database, as the pages before acts had kinds did.
KEPT_BY_AN_OLDER_PAGE = """async (acts) => {
  const db = await new Promise((opened, failed) => {
    const request = indexedDB.open("paddock", 1);
    request.onsuccess = () => opened(request.result);
    request.onerror = () => failed(request.error);
  });
  const transaction = db.transaction("acts", "readwrite", { durability: "strict" });
  for (const act of acts) {
    const fields = act.fields.map(([name, value]) => [name, value]);
    if (act.picture) {
      const bytes = Uint8Array.from(atob(act.picture), (c) => c.charCodeAt(0));
      fields.push(["photo", new File([bytes], "seen.jpg", { type: "image/jpeg" })]);
    }
    delete act.picture;
    transaction.objectStore("acts").add({ ...act, fields });
  }
  await new Promise((done) => { transaction.oncomplete = done; });
  db.close(); }"""
RECORDS = "async () => (await (await import('/static/tablet/store.js')).kept())"


@pytest.fixture
def entry(tablet, day, cast):
    tablet.sign_in(cast.tuner)
    tablet.keep_pages(f"/bikes/{day.entries[0].pk}/")
    return day.entries[0]


def older(who, name: str, url: str, fields: dict[str, object], **more) -> dict:
    """One act as an older page kept it: an address, and the fields of its form."""
    given = [["act_id", str(act_id(name))], *[[key, str(value)] for key, value in fields.items()]]
    return {
        "id": str(act_id(name)), "url": url, "page": url, "words": name, "state": "unsent",
        "fields": given, "at": "2026-06-13T08:00:00Z", "offset": 0,
        "author": {"id": who.pk, "username": who.username, "name": who.first_name},
        **more,
    }  # fmt: skip


def keep_as_older_pages_did(tablet, acts: list[dict]) -> None:
    """Everybody's pass was kept with what they entered."""
    people = tablet.run(
        "async () => (await (await import('/static/tablet/store.js')).noted('people'))"
    )
    for act in acts:
        act["author"] = next(one for one in people if one["id"] == act["author"]["id"])
    tablet.run(KEPT_BY_AN_OLDER_PAGE, acts)


def test_an_act_is_kept_as_its_kind_version_and_payload(tablet, entry):
    tablet.wire.cut()
    tablet.hold_offline(entry, "fork seal wet")
    [kept] = tablet.run(RECORDS)
    assert (kept["kind"], kept["version"]) == ("hold", 1)
    assert kept["payload"] == {"entry": str(entry.pk), "words": "fork seal wet"}
    assert kept["trackday"] == entry.trackday_id
    assert not {"url", "fields"} & set(kept)
    tablet.wire.mend()
    tablet.wait_sent()
    assert Hold.objects.get().words == "fork seal wet"
    assert any(b"POST /tablet/act/ " in request for request in tablet.wire.heard)


def test_what_older_pages_kept_is_applied_in_its_order(tablet, entry, day, cast):
    count(cast.tuner, entry, 14)
    rebound, bike, of_day = (
        rear_rebound(entry).pk,
        f"/bikes/{entry.pk}",
        f"/day/{entry.trackday_id}",
    )
    tablet.wire.cut()
    keep_as_older_pages_did(
        tablet,
        [
            older(cast.tuner, "held", f"{bike}/act/hold/", {"words": "fork seal wet"}),
            older(
                cast.tuner, "turned", f"{bike}/change/{rebound}/",
                {f"from_{rebound}": "14", "by": "-1", "how": "read_back", "reason": "kicks"},
            ),
            older(cast.tuner, "seen", f"{bike}/photos/", {"subject": "bike", "words": "torn seat"},
                  picture=base64.b64encode(picture()).decode()),
            older(cast.tuner, "here", f"{of_day}/do/",
                  {"kind": "arrived", "entry": entry.pk, "next": f"{of_day}/"}),
            older(cast.tuner, "warm", f"{of_day}/conditions/",
                  {"track_c": "31,5", "air_c": "", "wet": "", "wind": "light"}),
            older(cast.tuner, "counted", f"{bike}/baseline/", {f"at-{rebound}": "99"}),
        ],
    )  # fmt: skip
    tablet.hold_offline(entry, "entered on the page of today")
    tablet.wire.mend()
    tablet.wait_sent()
    kinds = Act.objects.order_by("device_seq").values_list("kind", "outcome", "version")
    assert list(kinds) == [
        ("hold", "applied", 1),
        ("change", "applied", 1),
        ("photo", "applied", 1),
        ("arrived", "applied", 1),
        ("conditions", "applied", 1),
        ("count", "refused", 1),
        ("hold", "applied", 1),
    ]
    assert Adjustment.objects.get(pk=act_id("turned")).to_position == 13
    assert BikePhoto.objects.get().photo.width == 40
    assert BikeMove.objects.filter(entry=entry).count() == 1
    assert Conditions.objects.get().wind == "light"
    [refused] = tablet.kept()
    assert "99 is past its end" in refused["text"]


def test_what_an_older_page_kept_is_amended_in_the_form_of_today(tablet, entry, cast):
    path = f"/bikes/{entry.pk}/baseline/"
    tablet.keep_pages(path)
    tablet.wire.cut()
    cell = f"at-{rear_rebound(entry).pk}"
    keep_as_older_pages_did(tablet, [older(cast.tuner, "counted", path, {cell: "99"})])
    tablet.wire.mend()
    until(lambda: [act["state"] for act in tablet.kept()] == ["refused"])
    tablet.page.reload()
    tablet.page.locator(".tabletrows li").get_by_role("link", name="Amend").click()
    field = tablet.page.locator(f'[name="{cell}"]')
    expect(field).to_have_value("99")
    field.fill("9")
    tablet.page.get_by_role("button", name="Counted").click()
    expect(tablet.page.locator("#notices")).to_contain_text("counted: 9 out")
    assert tablet.kept() == []
