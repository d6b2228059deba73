"""A finding of the business's own, on a bike: seen in three taps, weighed, suggested."""

import pytest
from django.urls import reverse

from jobs.advice.selectors import code_free
from jobs.advice.services import own_finding_drop, own_finding_save
from jobs.people.models import Edit
from jobs.tuning.knowledge import SuspectState, finding_table, shipped

pytestmark = pytest.mark.django_db
TABLE = {
    "title": "Packs over the kerb",
    "family": "push_test",
    "ends": ["front", "rear"],
    "see": "Stays low over the second kerb.",
    "next": "It follows the second kerb.",
    "source_note": "Our own book, forty bikes.",
    "suspects": [
        {"text": "Rebound packs", "kinds": ["damping"], "when": ["push slow or very_slow"]}
    ],
    "steps": [
        {
            "suspect": 1, "function": "rebound", "direction": "softer", "size": [2, 2],
            "unit": "click", "when": "push slow or very_slow", "expect": ["push_seconds -"],
        }
    ],
}  # fmt: skip


def test_an_own_finding_is_seen_weighed_and_suggested_on_a_bike(browser, story, cast):
    code = own_finding_save(code="", table=TABLE, by=cast.tuner).code
    see = reverse("board:see", args=[story.entry.pk])
    assert "Packs over the kerb" in browser.get(f"{see}?end=front&at=push").content.decode()
    assert "Packs over the kerb" not in browser.get(f"{see}?end=front&at=mid").content.decode()
    browser.post(see, {"code": code, "end": "front"})
    story.read("push", "front", "s", seconds=1.6)
    suggestion = story.plan().suggestion
    assert (suggestion.finding.code, suggestion.text) == (code, "Front rebound softer")
    assert [move.size for move in suggestion.moves] == [2] * len(suggestion.moves)
    html = browser.get(reverse("board:advice", args=[story.entry.pk])).content.decode()
    assert "Rebound packs" in html
    assert "It follows the second kerb." in html
    assert "Our own book, forty bikes." in html
    assert "Common practice, no source." not in html
    own_finding_drop(code=code, by=cast.tuner)
    assert story.plan().suggestion.finding.code == "B1"  # the slow push is seen all the same


def test_an_answer_stays_with_its_question_when_the_suspects_change_places(story, cast):
    """R11: who was told "no" to one cause is not taken to have said it of another."""
    theirs = shipped().findings["R11"]
    asking = [suspect for suspect in theirs.suspects if suspect.ask]
    first = asking[0]
    story.found("R11")
    story.act("answer", code="R11", suspect=first.order, yes=False)
    table = finding_table(theirs)
    table["steps"] = []
    table["suspects"].reverse()
    own_finding_save(code="R11", table=table, by=cast.tuner)
    (row,) = story.basis().advice.findings
    answered = [w.suspect.text for w in row.suspects if w.because and first.ask in w.because[0]]
    assert answered == [first.text]
    gone = [suspect for suspect in table["suspects"] if suspect["text"] != first.text]
    own_finding_save(code="R11", table={**table, "suspects": gone}, by=cast.tuner)
    (row,) = story.basis().advice.findings
    assert [w for w in row.suspects if w.standing == SuspectState.CONTRADICTED] == []


def test_each_new_finding_takes_the_next_free_code_and_is_noted_with_its_title(cast):
    first = own_finding_save(code="", table=TABLE, by=cast.tuner)
    second = own_finding_save(code="", table=TABLE, by=cast.tuner)
    assert (first.code, second.code, code_free()) == ("OWN1", "OWN2", "OWN3")
    own_finding_drop(code="OWN1", by=cast.tuner)
    assert code_free() == "OWN1"
    titles = list(Edit.objects.order_by("pk").values_list("title", flat=True))
    assert titles == ["OWN1 Packs over the kerb", "OWN2 Packs over the kerb", "OWN1"]
