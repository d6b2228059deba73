"""Every kind of reading on every surface, from its one entry in the table alone."""

import csv
import io
import json
import uuid
import zipfile

import pytest
from django.urls import reverse

from jobs.acts.takeaway import business_takeaway
from jobs.calculators.catalogue import BY_SLUG
from jobs.calculators.inputs_by_kind import INPUTS_BY_KIND
from jobs.garage.enums import End, TyreState
from jobs.people.models import User
from jobs.setups import sentences
from jobs.setups.measures import LENGTH, PRESSURE, Measure, Number, Switch, between, shown_in
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import READING_KINDS, ReadingKind
from jobs.worklist.models import ChecklistItem
from tests.acts.doing import item, task_now

pytestmark = pytest.mark.django_db

# Kinds no code names: with an end and the tyre's state, and with neither.
MADE_UP = (
    ReadingKind(
        "bead_gap",
        "bead gap",
        (
            Number("gap", "gap at the bead", LENGTH, between(1, 4), between(0, 20)),
            Number("helper", "seating pressure", PRESSURE, between(200, 300), between(0, 500)),
            Switch("lube", "bead lubricated", "bead dry", in_table=True),
        ),
        tyre_states=tuple(TyreState),
        checklist_tyre_states=(TyreState.COLD,),
    ),
    ReadingKind(
        "chain_slack",
        "chain slack",
        (
            Number("slack", "slack at mid run", LENGTH, between(20, 40), between(0, 200)),
            Switch("tight_spot", "tight spot felt", "runs even", in_table=True),
        ),
        ends=(),
        caution="Engine off, fingers clear of the sprocket.",
        calculator="no such calculator",
    ),
)
KINDS = {kind.name: kind for kind in (*READING_KINDS.values(), *MADE_UP)}
AS_TASKS = [name for name, kind in KINDS.items() if not kind.as_lap_times]


@pytest.fixture
def kind(request, monkeypatch) -> ReadingKind:
    """The kind of this parameter, in the table of kinds."""
    found = KINDS[request.param]
    monkeypatch.setitem(READING_KINDS, found.name, found)
    return found


every_kind = pytest.mark.parametrize("kind", KINDS, indirect=True)
every_task = pytest.mark.parametrize("kind", AS_TASKS, indirect=True)


@pytest.fixture
def entry(day):
    return day.entries[0]


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def get(browser, name, *args, **query) -> str:
    response = browser.get(reverse(name, args=args, query=query))
    assert response.status_code == 200
    return response.content.decode()


def typed(kind: ReadingKind) -> dict[str, str]:
    """Every number at its least plausible value, in its canonical unit; every switch on."""
    if kind.as_lap_times:
        return {kind.name: "1:42.5\n1:43.0"}
    numbers = {one.name: str(one.plausible.low) for one in kind.numbers}
    switches = {one.name: "1" for one in kind.measures if isinstance(one, Switch)}
    units = {f"unit_{quantity}": unit for quantity, unit in UNITS.items()}
    where = {"end": str(kind.ends[0])} if kind.ends else {}
    state = {"tyre_state": str(kind.tyre_states[-1])} if kind.tyre_states else {}
    return numbers | switches | units | where | state


UNITS = {"pressure": "kPa", "temperature": "degC", "length": "mm"}


def read(browser, entry, kind: ReadingKind) -> Reading:
    """One reading taken on the bike sheet's own form."""
    url = reverse("board:sheet-read", args=[entry.pk, kind.name])
    form = {"act_id": str(uuid.uuid4()), **typed(kind)}
    assert browser.post(url, form).status_code == 302
    return Reading.objects.get(kind=kind.name)


def asked(kind: ReadingKind) -> dict[str, str]:
    return {
        "kind": kind.name,
        **({"end": str(kind.ends[0])} if kind.ends else {}),
        **(
            {"tyre_state": str(kind.checklist_tyre_states[0])} if kind.checklist_tyre_states else {}
        ),
    }


@pytest.fixture
def task(day, kind) -> ChecklistItem:
    """A task of the day that asks for one reading of the kind."""
    return ChecklistItem.objects.create(
        checklist=item(day.trackday, "cold-pressures").checklist, code="asked-here",
        text="Read it", kind="reading", minutes=2, cadence="once", opens_from="arrival",
        closes_from="roll", readings=[asked(kind)],
    )  # fmt: skip


@every_kind
def test_the_sheet_offers_it_and_its_form_asks_for_every_measure(browser, entry, kind):
    assert f"/read/{kind.name}/" in get(browser, "board:sheet", entry.pk)
    form = get(browser, "board:sheet-read", entry.pk, kind.name)
    assert str(kind.label).capitalize() in form
    assert str(kind.caution) in form
    for one in kind.measures:
        words = (one.tap or one.on) if isinstance(one, Switch) else one.words
        assert str(words).lower() in form.lower() or kind.as_lap_times
    for end in End:
        assert (f'data-end="{end.value}"' in form) is (end in kind.ends)
    assert ('name="tyre_state"' in form) is bool(kind.tyre_states)


@every_kind
def test_numbers_being_typed_are_answered_and_where_nothing_is_known_nothing_is_said(
    browser, entry, kind
):
    end = f"{kind.ends[0]}-" if kind.ends else ""
    of_end = {one.name for one in kind.measures}
    cells = {(end + name if name in of_end else name): v for name, v in typed(kind).items()}
    said = get(browser, "workbench:typed", entry.pk, kind.name, **cells)
    assert bool(said.strip()) is (kind.name in INPUTS_BY_KIND)


def test_a_kind_that_names_a_calculator_has_it_and_says_what_it_is_given():
    named = {kind.name: kind.calculator for kind in READING_KINDS.values() if kind.calculator}
    assert set(named.values()) <= set(BY_SLUG)
    assert set(named) == set(INPUTS_BY_KIND)


@every_kind
def test_what_was_read_is_told_on_every_page_of_the_bike(browser, entry, kind):
    row = read(browser, entry, kind)
    label = str(kind.label)
    told = sentences.reading(row)
    assert label in told.lower()
    pages = {
        "sheet": get(browser, "board:sheet", entry.pk),
        "print": get(browser, "board:sheet-print", entry.pk),
        "day": get(browser, "board:sheet-day", entry.pk),
        "form": get(browser, "board:sheet-read", entry.pk, kind.name),
    }
    for name, page in pages.items():
        assert told in page, name
    table = sentences.short(kind.name, row.measurements.all())
    assert f">{table}</td>" in pages["sheet"]
    get(browser, "board:advice", entry.pk)
    get(browser, "workbench:home", bike=entry.bike_id)


@every_kind
def test_the_owner_reads_it_and_takes_it_away(browser, entry, kind, signed_in, customer_a):
    entry.bike.owner = customer_a.customer
    entry.bike.save()
    row = read(browser, entry, kind)
    owner = signed_in(customer_a)
    assert sentences.reading(row) in get(owner, "portal:bike", entry.bike_id)
    archive = zipfile.ZipFile(io.BytesIO(b"".join(owner.get(reverse("portal:download")))))
    assert [one["kind"] for one in table_of(archive, "setups_reading")] == [kind.name]
    kept = {one["name"]: one for one in table_of(archive, "setups_measurement")}
    for one in kind.measures:
        switch = isinstance(one, Switch)
        assert kept[one.name]["on"] == ("true" if switch else "")
        assert (kept[one.name]["value"] == "") is switch


def table_of(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(archive.read(f"data/{name}.csv").decode())))


@every_kind
def test_machines_are_told_the_kind_and_read_it(browser, entry, kind):
    read(browser, entry, kind)
    (found,) = browser.get(f"/api/bike-days/{entry.pk}/").json()["readings"]
    assert found["kind"] == kind.name
    for one in found["values"]:
        switch = isinstance(kind.measure(one["name"]), Switch)
        assert (one["on"], one["value"] is None) == ((True, True) if switch else (None, False))
    (reading,) = [one for one in browser.get("/api/acts/kinds/").json() if one["name"] == "reading"]
    assert kind.name in reading["payload"]["kind"]["choices"]
    with business_takeaway(by=User.objects.get(username="tuner")) as file:
        package = json.loads(zipfile.ZipFile(file).read("datapackage.json"))
    (table,) = [one for one in package["resources"] if one["name"] == "setups_reading"]
    (column,) = [one for one in table["schema"]["fields"] if one["name"] == "kind"]
    assert kind.name in column["constraints"]["enum"]


@every_task
def test_a_checklist_can_ask_for_it(kind, signed_in, office, day):
    editor = signed_in(office)
    which = item(day.trackday, "cold-pressures")
    url = reverse("board:checklist-item", args=[which.checklist.code, which.code])
    name = " ".join(asked(kind).values())
    assert f'value="{name}"' in editor.get(url).content.decode()
    form = {
        one: getattr(which, one)
        for one in (
            "text", "kind", "cadence", "before_session", "opens_from", "opens_minutes",
            "closes_from", "closes_minutes", "minutes", "people", "skill", "miss_cost",
            "order",
        )
    }  # fmt: skip
    assert editor.post(url, {**form, "readings_asked": [name]}).status_code == 302
    saved = ChecklistItem.objects.get(code=which.code, checklist__retired_at=None)
    assert saved.readings == [asked(kind)]


@every_task
def test_a_round_asks_for_it_and_writes_it(browser, day, entry, kind, task, tuner):
    at = task_now(entry, "asked-here", None)
    page = get(browser, "board:round", day.trackday.pk, tuner.pk, task=str(at.id))
    asked_for = [one for one in kind.measures if one.on_round and not is_other_of_group(one, kind)]
    cells = {f"reading-0-{field_of(one)}": entered(one) for one in asked_for}
    assert all(f'name="{name}"' in page for name in cells)
    assert str(kind.caution) in page
    get(browser, "workbench:typed-task", entry.pk, task.pk, **cells)
    form = {
        "act_id": str(uuid.uuid4()), "task": str(at.id), "entry": entry.pk, "session": "",
        "item": task.pk, "how": "tick", **cells,
    }  # fmt: skip
    answer = browser.post(reverse("board:tick", args=[day.trackday.pk]), form)
    assert "Done: Read it." in answer.content.decode()
    row = Reading.objects.get(kind=kind.name)
    written = {one.name: one.on for one in row.measurements.all()}
    assert written == {one.name: isinstance(one, Switch) or None for one in asked_for}


def is_other_of_group(measure: Measure, kind: ReadingKind) -> bool:
    """A switch of a group of which another one is tapped: one at a time is on."""
    group = getattr(measure, "group", "")
    return bool(group) and measure is not next(
        one for one in kind.measures if getattr(one, "group", "") == group
    )


def field_of(measure: Measure) -> str:
    return getattr(measure, "group", "") or measure.name


def entered(measure: Measure) -> str:
    """Its least plausible value in the unit of a round's cell; a switch on."""
    if isinstance(measure, Switch):
        return measure.name if measure.group else "1"
    low = measure.plausible.low
    return str(shown_in(low, "psi", PRESSURE)) if measure.quantity == PRESSURE else str(low)


@every_task
def test_a_kind_that_left_the_table_breaks_no_page(
    browser, day, entry, kind, task, tuner, signed_in, customer_a, monkeypatch
):
    entry.bike.owner = customer_a.customer
    entry.bike.save()
    read(browser, entry, kind)
    monkeypatch.delitem(READING_KINDS, kind.name)
    for name in ("board:sheet", "board:sheet-print", "board:sheet-day", "board:advice"):
        get(browser, name, entry.pk)
    get(signed_in(customer_a), "portal:bike", entry.bike_id)
    at = task_now(entry, "asked-here", None)
    get(browser, "board:round", day.trackday.pk, tuner.pk, task=str(at.id))
    get(browser, "workbench:typed-task", entry.pk, task.pk)
    assert browser.get(f"/api/bike-days/{entry.pk}/").status_code == 200
    assert browser.get(reverse("board:sheet-read", args=[entry.pk, kind.name])).status_code == 404


def test_play_in_the_steering_head_says_to_hold_the_bike(browser, entry):
    url = reverse("board:sheet-read", args=[entry.pk, "head_play"])
    form = {"act_id": str(uuid.uuid4()), "play": "0,3", "notch": "1", "unit_length": "mm"}
    page = browser.post(url, form, follow=True).content.decode()
    assert "Steering head play: play at the axle 0.3 mm, notch felt." in page
    assert page.count("Any play or notch in the steering head: hold the bike.") == 1
    assert "0.3\N{NO-BREAK SPACE}mm, notch felt" in page
    assert "Raise a hold" in page
    assert "not part of" not in page


@pytest.mark.parametrize("value", [{"play": "0"}, {"play": "0", "notch": ""}])
def test_no_play_in_the_steering_head_says_nothing_of_a_hold(browser, entry, value):
    url = reverse("board:sheet-read", args=[entry.pk, "head_play"])
    form = {"act_id": str(uuid.uuid4()), "unit_length": "mm", **value}
    page = browser.post(url, form, follow=True).content.decode()
    assert "Steering head play: play at the axle 0 mm." in page
    assert "hold the bike." not in page


def test_a_notch_alone_is_a_reading(browser, entry):
    url = reverse("board:sheet-read", args=[entry.pk, "head_play"])
    page = browser.post(url, {"act_id": str(uuid.uuid4()), "notch": "1"}, follow=True)
    assert "Steering head play: notch felt." in page.content.decode()


def test_a_switch_of_an_older_page_is_still_understood(browser, day, entry, tuner):
    """A round had a number cell for it, the sheet a box that sent 1."""
    which = item(day.trackday, "push-cold")
    at = task_now(entry, "push-cold", None)
    form = {
        "act_id": str(uuid.uuid4()), "task": str(at.id), "entry": entry.pk, "session": "",
        "item": which.pk, "how": "tick", "reading-0-stays": "0", "reading-1-stays": "1",
    }  # fmt: skip
    answer = browser.post(reverse("board:tick", args=[day.trackday.pk]), form)
    assert "Done: Push test, cold." in answer.content.decode()
    said = {row.end: row.switched("stays") for row in Reading.objects.all()}
    assert said == {End.FRONT: False, End.REAR: True}
