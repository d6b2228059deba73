"""Every finding loads, names only known facts and adjusters, and has its sources."""

import tomllib

import pytest

from jobs.tuning import Refused
from jobs.tuning.knowledge import (
    FAMILIES,
    CauseKind,
    InvalidFinding,
    finding_read,
    finding_write,
    shipped,
    with_own,
)
from jobs.tuning.knowledge.conditions import parse
from jobs.tuning.knowledge.facts import FACT_KINDS
from jobs.tuning.knowledge.finding_reader import KEYS, STEP_KEYS, STOP_KEYS, SUSPECT_KEYS, TEXTS
from jobs.tuning.terms import AdjusterFunction, End

ROWS = shipped().findings.values()


def test_there_are_forty_two_in_four_families():
    assert len(ROWS) == 42
    assert {row.family for row in ROWS} == set(FAMILIES)
    assert [sum(r.family == family for r in ROWS) for family in FAMILIES] == [12, 6, 21, 3]


def test_twenty_two_list_a_mechanical_suspect():
    assert sum(any(s.mechanical for s in row.suspects) for row in ROWS) == 22


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.code)
def test_a_row_has_its_words_and_a_source_or_common_practice(row):
    assert all((row.title, row.see, row.check, row.step, row.next, row.worse, row.stop))
    assert row.suspects
    assert row.sources or "common practice" in row.source_note.lower() or row.disagreement
    assert set(row.sources) <= set(shipped().sources)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.code)
def test_every_suspect_has_a_condition_or_a_check(row):
    dumb = [s.text for s in row.suspects if not (s.when or s.ask or s.check)]
    assert dumb == []


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.code)
def test_riding_technique_gives_words_and_never_a_step(row):
    for suspect in row.suspects:
        if suspect.kinds == (CauseKind.TECHNIQUE,):
            assert suspect.say
            assert not [step for step in row.steps if step.suspect == suspect.order]


def test_every_step_names_what_it_should_change():
    assert [row.code for row in ROWS for step in row.steps if not step.expect] == []


def test_both_ends_means_the_whole_bike():
    assert shipped().findings["R12"].ends == ()
    assert shipped().findings["T1"].ends == (End.FRONT, End.REAR)


BASE = {"title": "Soft", "ends": ["rear"], "see": "It sinks."}
SUSPECT = {"text": "spring", "kinds": ["spring"]}
STEP = {"suspect": 1, "function": "preload", "direction": "firmer", "size": [1, 1], "unit": "turn"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"ends": ["middle"]}, "“middle” is no end"),
        ({"colour": "red"}, "“colour” is not known here"),
        ({"sources": ["NOBODY"]}, "the source “NOBODY” is not listed"),
        ({"suspects": [{**SUSPECT, "kinds": ["magic"]}]}, "“magic” is no kind"),
        ({"suspects": [{**SUSPECT, "when": ["push late"]}]}, "“push” is never “late”"),
        ({"suspects": [{**SUSPECT, "when": ["mood bad"]}]}, "“mood” is not a known fact"),
        ({"suspects": [{**SUSPECT, "when": ["front oil hot"]}]}, "of the whole bike"),
        ({"suspects": [{**SUSPECT, "when": ["push slow fast"]}]}, "joined by “or”"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "suspect": 2}]}, "there is no suspect 2"),
        (
            {"suspects": [SUSPECT], "steps": [{**STEP, "function": "wings"}]},
            "“wings” is no function",
        ),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "direction": "more"}]}, "does not go more"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "size": [3, 1]}]}, "a size runs from"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "unit": "inch"}]}, "“inch” is not a unit"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "expect": ["joy +"]}]}, "“joy” is no quantity"),
        (
            {"suspects": [SUSPECT], "steps": [{**STEP, "function": "rebound", "unit": "click"}]},
            "a rebound step rests on a hot push test",
        ),
        (
            {
                "suspects": [SUSPECT],
                "steps": [
                    {**STEP, "function": "rebound", "unit": "click", "when": "push slow"},
                ],
            },
            "slow before softer",
        ),
        (
            {"ends": ["both"], "suspects": [{**SUSPECT, "when": ["push slow"]}]},
            "must say front or rear",
        ),
        ({"ends": []}, "“ends” is missing"),
        ({"ends": "rear"}, "“ends” must be a list"),
        ({"title": 5}, "“title” must be words"),
        ({"family": "smell"}, "“smell” is no family"),
        ({"ends": ["both"], "family": "travel"}, "only what the rider says"),
        ({"suspects": "spring"}, "“suspects” must be a list"),
        ({"suspects": ["spring"]}, "suspect 1: this is no table"),
        ({"suspects": [{**SUSPECT, "when": "push slow"}]}, "“when” must be a list"),
        ({"suspects": [{**SUSPECT, "when": [3]}]}, "“3” must be words"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "size": 3}]}, "a size runs from"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "size": ["nan", 1]}]}, "“nan” is no number"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "suspect": "1"}]}, "not the number of a"),
        ({"suspects": [SUSPECT], "steps": [{**STEP, "unit": "psi"}]}, "a tyre pressure goes by"),
        (
            {"suspects": [SUSPECT], "steps": [{**STEP, "expect": ["trail +", "trail -"]}]},
            "one way only",
        ),
    ],
)
def test_what_is_wrong_in_a_finding_is_named(change, words):
    with pytest.raises(Refused) as refused:
        finding_read("OWN1", {**BASE, **change}, sources=shipped().sources)
    assert str(refused.value).startswith("Finding OWN1: ")
    assert words in str(refused.value)


def test_a_missing_title_is_named():
    with pytest.raises(Refused, match="“title” is missing"):
        finding_read("OWN1", {"ends": ["rear"], "see": "It sinks."})


def test_own_findings_replace_shipped_ones_which_are_not_changed():
    own = finding_read("V2", {**BASE, "title": "Little travel, our way"}, own=True)
    ours = with_own(shipped(), [own])
    assert ours.findings["V2"].own
    assert len(ours.findings) == 42
    assert shipped().findings["V2"].title.startswith("Little travel used")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.code)
def test_a_finding_written_in_its_open_form_reads_the_same(row):
    tables = tomllib.loads(finding_write(row))
    assert list(tables) == [row.code]
    assert finding_read(row.code, tables[row.code], sources=shipped().sources) == row


WHOLE = {
    **{name: f'{name} "quoted" \\ and\nnext line\x7f é' for name in TEXTS},
    "family": "travel",
    "ends": ["front", "rear"],
    "phases": ["braking", "exit"],
    "sources": ["COS", "FOA"],
    "suspects": [
        {
            "text": "one",
            "kinds": ["damping", "technique"],
            "when": ["push slow and oil hot", "also R3 or R6"],
            "unless": ["rear sag right"],
            "ask": "ask?",
            "check": "check",
            "say": "say",
            "do": "do",
            "word_first": True,
        },
        {"text": "two", "kinds": ["spring"]},
    ],
    "steps": [
        {
            "suspect": 2,
            "function": "preload",
            "direction": "firmer",
            "share": 12.5,
            "size": [1, 4],
            "unit": "click",
            "when": "sag large",
            "unless": ["laps few"],
            "end": "rear",
            "after": [1],
            "instead_of": ["front tube_height", "rear preload"],
            "expect": ["travel_used -", "trail +"],
        }
    ],
    "stops": [{"text": "bent", "action": "service", "when": "push no_return"}],
}


def test_every_key_of_the_open_form_is_written_back():
    """One finding with all of it: a key added to the reader alone is lost here."""
    assert set(WHOLE) == KEYS
    assert set(WHOLE["suspects"][0]) == SUSPECT_KEYS
    assert set(WHOLE["steps"][0]) == STEP_KEYS
    assert set(WHOLE["stops"][0]) == STOP_KEYS
    found = finding_read("OWN1", WHOLE)
    table = tomllib.loads(finding_write(found))["OWN1"]
    assert set(table) == KEYS
    assert table["suspects"] == WHOLE["suspects"]
    assert table["steps"] == WHOLE["steps"]
    assert table["stops"] == WHOLE["stops"]
    assert finding_read("OWN1", table) == found


def test_conditions_with_the_same_meaning_are_equal():
    assert parse("push slow or very_slow") == parse("push very_slow or slow")
    assert parse("push slow") != parse("front push slow")
    one = finding_read("OWN1", {**BASE, "phases": ["exit", "mid"], "ends": ["rear", "front"]})
    two = finding_read("OWN1", {**BASE, "phases": ["mid", "exit"], "ends": ["front", "rear"]})
    assert one == two


def test_all_faults_are_reported_together_with_their_places():
    table = {
        **BASE,
        "title": " ",
        "suspects": [SUSPECT, {"text": "", "kinds": []}],
        "steps": [{**STEP, "size": ["two", 1], "unit": ""}],
        "stops": [{"text": "bent"}],
    }
    with pytest.raises(InvalidFinding) as misread:
        finding_read("OWN1", table)
    assert [fault.at for fault in misread.value.faults] == [
        ("title",),
        ("suspects", 2, "text"),
        ("suspects", 2, "kinds"),
        ("steps", 1, "unit"),
        ("steps", 1, "size"),
        ("stops", 1, "action"),
    ]
    assert "suspect 2: “text” is missing." in str(misread.value)
    assert "“two” is no number." in str(misread.value)


def test_a_condition_of_several_facts_is_false_as_soon_as_one_is():
    from jobs.tuning.knowledge.facts import FactValue, KnownFacts

    facts = KnownFacts({("travel", End.REAR): FactValue(frozenset({"far"}), "far")})
    assert parse("push slow and travel short").holds(facts, End.REAR) is False
    assert parse("push slow and travel far").holds(facts, End.REAR) is None
    assert parse("travel far or end").holds(facts, End.REAR) is True
    assert parse("front travel far").holds(facts, End.REAR) is None


def test_every_fact_says_how_to_find_it_out():
    assert [fact for fact, m in FACT_KINDS.items() if not m.find_out] == ["also"]


def test_no_step_moves_what_a_tuner_does_not_turn_trackside():
    turned = {step.function for row in ROWS for step in row.steps}
    assert turned == {
        AdjusterFunction.REBOUND,
        AdjusterFunction.COMPRESSION,
        AdjusterFunction.PRELOAD,
        AdjusterFunction.TUBE_HEIGHT,
        AdjusterFunction.TYRE_PRESSURE,
    }
