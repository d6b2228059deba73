"""The setup sheet: one page of A4, tagged, in black and white; kept, and corrected by a version."""

import io
import re
import zipfile

import pytest
from django.urls import reverse
from pypdf import PdfReader

from jobs.acts.removal import customer_remove
from jobs.acts.takeaway import customer_takeaway
from jobs.garage.models import Adjuster, Bike
from jobs.plots.on_paper import on_paper
from jobs.setups.models import SetupSheet
from jobs.setups.services import sheet_handed_over
from tests.acts.doing import clock_set
from tests.advice.story import Story
from tests.days import local

pytestmark = [pytest.mark.django_db, pytest.mark.pdf]


@pytest.fixture
def story(cast):
    story = Story(cast)
    Bike.objects.filter(pk=story.entry.bike_id).update(owner=cast.customer_a.customer)
    story.came_in(1)
    changed(story, 10, 12)
    return story


@pytest.fixture
def mine(signed_in, customer_a):
    return signed_in(customer_a)


def changed(story, before, to, **more):
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    move = {"adjuster": adjuster.pk, "from_position": str(before), "to_position": str(to)}
    return story.act("change", moves=[move], reason="chatters", **more)


def read(sheet):
    return PdfReader(io.BytesIO(bytes(sheet.content)))


def text(sheet):
    return " ".join(read(sheet).pages[0].extract_text().split())


def test_it_is_one_page_of_a4_tagged_and_says_the_day(story):
    sheet = sheet_handed_over(story.entry)
    [page] = read(sheet).pages
    # ISO 216: A4 is 210 mm x 297 mm; a PDF point is 1/72 inch (ISO 32000-1).
    assert float(page.mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)
    assert read(sheet).trailer["/Root"]["/MarkInfo"]["/Marked"]
    said = text(sheet)
    assert "Front: Rebound, left leg 10 out 12 out 2 clicks softer" in said
    assert "Why: “chatters”." in said
    assert "The day in curves" in said
    assert "Version" not in said


def test_nothing_on_it_has_a_colour(story):
    """Every colour operator sets three equal parts, or a grey (ISO 32000-1, table 74)."""
    [page] = read(sheet_handed_over(story.entry)).pages
    drawn = page.get_contents().get_data().decode("latin-1")
    colours = re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", drawn)
    assert colours
    assert [one for one in colours if len(set(one)) != 1] == []


@pytest.mark.parametrize("changes", [0, 30])
def test_a_long_day_is_still_one_page_and_says_what_is_left_out(story, changes):
    for number in range(changes):
        before, to = (12, 11) if number % 2 == 0 else (11, 12)
        changed(story, before, to, expectation="calmer, and the same over the bumps " * 3)
    sheet = sheet_handed_over(story.entry)
    assert len(read(sheet).pages) == 1
    assert ("earlier changes are told on your page" in text(sheet)) == bool(changes)


def test_a_correction_is_a_new_version_that_says_so_and_the_first_one_stays(story):
    first = sheet_handed_over(story.entry)
    assert sheet_handed_over(story.entry).pk == first.pk
    was = bytes(first.content)
    changed(story, 12, 13)
    second = sheet_handed_over(story.entry)
    assert second.version == 2
    assert "Version 2: corrected after the first one was handed over on" in text(second)
    first.refresh_from_db()
    assert bytes(first.content) == was


def test_what_happens_on_a_later_day_makes_no_version(story):
    first, entry = sheet_handed_over(story.entry), story.entry
    story.comes_back(after=30)
    story.came_in(1)
    changed(story, 12, 14)
    assert sheet_handed_over(entry).pk == first.pk


def test_a_helper_hands_it_over_and_the_customer_opens_it(story, mine, signed_in, helper):
    opens = reverse("portal:sheet", args=[story.entry.pk])
    assert mine.get(opens).status_code == 404  # the day runs, and nothing was handed over
    crew = signed_in(helper)
    crew.post(reverse("board:sheet-hand-over", args=[story.entry.pk]))
    answer = mine.get(opens)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    page = crew.get(reverse("board:sheet-print", args=[story.entry.pk])).content.decode()
    assert "Version 1 of" in page
    kept = crew.get(reverse("board:sheet-pdf", args=[story.entry.pk, 1]))
    assert kept.content == answer.content


def test_a_day_that_is_over_is_kept_when_its_customer_first_opens_it(story, mine):
    clock_set(story.trackday, local(9).replace(month=local(9).month + 1))
    page = mine.get(reverse("portal:day", args=[story.entry.pk])).content.decode()
    opens = reverse("portal:sheet", args=[story.entry.pk])
    assert opens in page
    assert mine.get(opens).status_code == 200
    assert SetupSheet.objects.get().version == 1


def test_nobody_elses_sheet(story, signed_in, customer_b):
    sheet_handed_over(story.entry)
    opens = reverse("portal:sheet", args=[story.entry.pk])
    assert signed_in(customer_b).get(opens).status_code == 404


def test_it_is_in_what_its_payer_takes_away(story, cast):
    sheet = sheet_handed_over(story.entry)
    taken = customer_takeaway(customer=story.entry.payer, by=cast.tuner)
    with taken, zipfile.ZipFile(io.BytesIO(taken.read())) as archive:
        [name] = [one for one in archive.namelist() if one.startswith("setup-sheets/")]
        assert archive.read(name) == bytes(sheet.content)
    other = customer_takeaway(customer=cast.customer_b.customer, by=cast.tuner)
    with other, zipfile.ZipFile(io.BytesIO(other.read())) as archive:
        assert [one for one in archive.namelist() if one.startswith("setup-sheets/")] == []


def test_a_sheet_goes_with_the_customer_who_is_removed(story, cast):
    sheet_handed_over(story.entry)
    customer_remove(customer=cast.customer_a.customer, by=cast.tuner)
    assert SetupSheet.objects.count() == 0


def test_without_pango_it_says_why_and_keeps_nothing(story, signed_in, helper, monkeypatch):
    from jobs.paper.documents import PaperError

    def refuse(**_):
        raise PaperError("PDFs need Pango")

    monkeypatch.setattr("jobs.setups.sheet_paper.pdf_make", refuse)
    url = reverse("board:sheet-hand-over", args=[story.entry.pk])
    answer = signed_in(helper).post(url, follow=True)
    assert "PDFs need Pango" in answer.content.decode()
    assert SetupSheet.objects.count() == 0


def test_a_drawing_carries_its_style_inside():
    assert re.match(r"<svg a=\"1\"><style>.*</style><path/></svg>$", on_paper(
        '<svg a="1"><path/></svg>'
    ), re.DOTALL)  # fmt: skip
