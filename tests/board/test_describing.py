"""Adjusters that are counted differently, gauges, and preload moved with its rebound."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster, Fitting, Gauge
from jobs.setups.models import Adjustment, Reading
from tests.markup import one_line

from ..days import day_build, local
from ..setups.writing import arrive, count, rear_rebound, stands_at

pytestmark = pytest.mark.django_db

MODE = {
    "end": "rear", "leg": "both", "function": "mode", "unit": "label", "step": "1",
    "origin": "zero", "firming": "up", "lowest": "0", "highest": "2", "labels": "Rain, Road, Race",
}  # fmt: skip


@pytest.fixture
def entry(cast):
    return day_build(bikes=1, at=local(17)).entries[0]


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def address(entry, name, *more):
    return reverse(f"board:{name}", args=[entry.pk, *more])


def test_an_electronic_mode_is_added_and_set_by_its_names(browser, tuner, entry):
    browser.post(address(entry, "adjuster-new"), MODE)
    mode = Adjuster.objects.get(function=Function.MODE)
    assert mode.labels == ["Rain", "Road", "Race"]
    count(tuner, entry, 1, adjuster=mode)
    panel = one_line(browser.get(address(entry, "sheet-change", mode.pk)).content.decode())
    assert 'value="1.000">Race' in panel
    browser.post(
        address(entry, "sheet-change", mode.pk), {f"from_{mode.pk}": "1", "by": "1", "how": ""}
    )
    assert stands_at(mode) == 2
    assert "Race" in browser.get(address(entry, "sheet")).content.decode()


def test_a_mode_without_names_is_refused(browser, entry):
    page = browser.post(address(entry, "adjuster-new"), {**MODE, "labels": "Rain"})
    assert "Name at least two positions" in page.content.decode()


def test_one_of_a_kind_twice_is_said_and_nothing_lost(browser, entry):
    form = {**MODE, "function": "rebound", "unit": "click", "labels": "", "highest": "20"}
    page = browser.post(address(entry, "adjuster-new"), form).content.decode()
    assert "errorlist" in page
    assert Adjuster.objects.filter(bike=entry.bike).count() == 4


def test_a_reversed_clicker_is_put_right_and_its_count_stays(browser, tuner, entry):
    adjuster = rear_rebound(entry)
    count(tuner, entry, 14)
    form = {"firming": "up", "lowest": "1", "highest": "22", "step": "1", "unit": "turn"}
    browser.post(address(entry, "adjuster", adjuster.pk), form)
    adjuster.refresh_from_db()
    assert (adjuster.firming, adjuster.first_click, adjuster.highest) == ("up", 1, 22)
    assert adjuster.unit == "click"  # the book holds positions counted in clicks


def test_the_other_leg_makes_a_pair(browser, entry):
    left = Adjuster.objects.get(bike=entry.bike, end="front", leg="left")
    form = {**MODE, "end": "front", "leg": "right", "function": left.function, "unit": "click",
            "labels": ""}  # fmt: skip
    browser.post(address(entry, "adjuster-new"), form)
    left.refresh_from_db()
    assert left.pair is not None
    assert left.pair == Adjuster.objects.get(function=left.function, leg="right").pair


def test_gauges_are_kept_with_their_offset(browser):
    form = {"name": "van", "quantity": "pressure", "unit": "psi", "offset": "0.5"}
    browser.post(reverse("board:gauges"), form)
    gauge = Gauge.objects.get()
    browser.post(reverse("board:gauge", args=[gauge.pk]), {**form, "offset": "0.7"})
    gauge.refresh_from_db()
    assert str(gauge.offset) == "0.70"


def test_preload_with_its_rebound_is_one_change(browser, tuner, entry):
    rebound = rear_rebound(entry)
    preload = Adjuster.objects.create(
        bike=entry.bike, end="rear", function=Function.PRELOAD, unit="turn", step="0.25",
        origin="open", firming="up", highest=10,
    )  # fmt: skip
    count(tuner, entry, 14)
    count(tuner, entry, 3, adjuster=preload)
    panel = browser.get(address(entry, "sheet-change", preload.pk)).content.decode()
    assert "with its rebound, now 14 out" in panel
    form = {f"from_{preload.pk}": "3", f"from_{rebound.pk}": "14", "by": "1", "rebound_by": "-1"}
    browser.post(address(entry, "sheet-change", preload.pk), form)
    rows = Adjustment.objects.filter(kind="change")
    assert {(row.adjuster_id, row.to_position) for row in rows} == {
        (preload.pk, 4), (rebound.pk, 13),
    }  # fmt: skip
    assert len({row.linked for row in rows}) == 1


def lap_file(content: bytes) -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile("laps.csv", content)}


def laps_kept() -> list[str]:
    return [str(m.value) for m in Reading.objects.get().measurements.all()]


def test_lap_times_from_a_file(browser, entry):
    where = address(entry, "sheet-read", "laps")
    page = browser.post(where, lap_file(b"lap;time\n1;1:43,1\n2;quick\n")).content.decode()
    assert "Line 3:" in page
    assert not Reading.objects.exists()
    browser.post(where, lap_file(b"\xef\xbb\xbf1;1:43,1\r\n2;1:42,5\r\n"))
    assert laps_kept() == ["103.100", "102.500"]


def test_a_file_of_a_timing_program_is_read_by_its_heading(browser, entry):
    where = address(entry, "sheet-read", "laps")
    browser.post(where, lap_file(b"lap;time\n1;1:43,1\n2;1:42,5\n"))
    assert laps_kept() == ["103.100", "102.500"]


def test_laps_pasted_and_laps_of_a_file_are_one_reading_with_their_marks(browser, entry):
    pasted = {"laps": "1:55.0 out\n1:43.4 1:42.9", "note": "new tyre"}
    browser.post(address(entry, "sheet-read", "laps"), pasted | lap_file(b"1:58.2 in\n"))
    assert laps_kept() == ["115.000", "103.400", "102.900", "118.200"]
    assert Reading.objects.get().note == "new tyre · lap 1 out, lap 4 in"


def test_every_word_that_is_no_lap_time_is_named_and_nothing_is_kept(browser, entry):
    pasted = {"laps": "1:43.4 1:4x.1\n3 s\n5000"}
    page = browser.post(address(entry, "sheet-read", "laps"), pasted).content.decode()
    assert "Line 1: &quot;1:4x.1&quot; is not a lap time" in page
    assert "Line 2: 3 s is no lap" in page
    assert "Line 3: 5000 s is no lap" in page
    assert not Reading.objects.exists()


def test_service_due_stands_on_the_sheet(browser, tuner, entry):
    arrive(tuner, entry)
    Fitting.objects.create(
        bike=entry.bike, kind="oil", end="front", name="Fork oil", fitted_at=local(8),
        due_after_outings=6,
    )  # fmt: skip
    assert "Service due: Fork oil" in browser.get(address(entry, "sheet")).content.decode()
    Fitting.objects.update(due_after_outings=7)
    assert "Service due" not in browser.get(address(entry, "sheet")).content.decode()
