"""Every calculator answers as its arithmetic does, in any unit, and refuses in words."""

import re

import pytest

from jobs.calculators.answers import calculate
from jobs.calculators.catalogue import BY_SLUG, CALCULATORS
from jobs.calculators.inputs import BusinessFigures
from jobs.tuning.words import Words, translate_by

LAPS = "121.9\n103.4\n102.8\n102.5\n102.9\n108.7\n102.6\n103.1\n102.7\n130.2"
SINCE = "99.6\n99.9\n99.2\n100.4\n99.5\n99.8"
DEPTHS = "0 4.0\n1 3.7\n2 3.5\n3 3.1\n4 2.9\n5 2.6"

# What is typed, and the answer's first line: the values of the check table where it has them.
ANSWERS = {
    "sag": (
        {"end": "front", "hanging": "127", "after_push": "95", "after_lift": "101",
         "travel": "120"}, "29.0 mm"),
    "spring-needed": (
        {"end": "front", "bike_mass": "98", "rider_mass": "140", "free": "18", "rider": "38",
         "rake": "24"}, "18.8 N/mm"),
    "fork-rate": ({"left": "9.5", "right": "9.5", "rake": "24"}, "22.77 N/mm"),
    "shock-rate": (
        {"rate": "95", "curve": "20 9.2\n40 18.8\n60 28.8", "preload": "10", "z": "38.402"},
        "25.32 N/mm"),
    "coil": (
        {"wire": "2.5", "outside": "24.75", "coils": "16", "modulus": "79.3"}, "2.2 N/mm"),
    "push": ({"oil": "hot", "end": "rear", "swings": "1", "natural": "2"},
             "one overshoot, then settles"),
    "oil": ({"grade": "VG15", "index": "150", "cold": "8", "hot": "45"}, "4.3 times"),
    "pressure": (
        {"end": "rear", "cold": "180", "cold_c": "20", "hot": "240", "minutes": "1",
         "target": "230", "expected_c": "8", "cold_low": "150",
         "cold_high": "200"}, "160.6 kPa"),
    "temperatures": (
        {"end": "rear", "left": "62", "centre": "58", "right": "70", "minutes": "1"}, "12 °C"),
    "wear": ({"centre": DEPTHS, "limit": "1.0", "resolution": "0.1"}, "5.7"),
    "geometry": (
        {"rake": "24", "offset": "30", "wheelbase": "1400", "front_radius": "299.9",
         "rear_radius": "320", "tubes": "5"}, "−1.1 mm"),
    "travel": ({"place": "fork_leg", "usable": "112", "used": "84"}, "75 %"),
    "braking": (
        {"mass": "260", "wheelbase": "1400", "to_front": "700", "height": "620",
         "slowing": "0.9", "unsprung": "17", "rake": "24", "pair": "19", "preload": "15",
         "usable": "140"},
        "133 mm"),
    "frequency": ({"rate": "65.4", "mass": "100"}, "4.07 Hz"),
    "pace": ({"before": LAPS, "after": SINCE, "layout": "yes", "wetness": "yes"}, "−3.1 s"),
    "ring": (
        {"end": "front", "rings": "96\n98\n95", "usable": "120", "rate": "9.5", "preload": "20",
         "new_rate": "10.5", "sag": "34"}, "87 mm"),
    "evidence": ({"seen": "81", "judged": "263"}, "26–37 %"),
    "units": ({"value": "1.6", "unit": "bar"}, "160"),
}  # fmt: skip


@pytest.mark.parametrize("slug", BY_SLUG)
def test_the_answer_is_that_of_the_check_table(slug):
    typed, first = ANSWERS[slug]
    result = calculate(BY_SLUG[slug], typed)
    assert result.problems == ()
    assert result.missing == ()
    assert result.answer.main.value == first


@pytest.mark.parametrize("slug", BY_SLUG)
def test_nothing_typed_says_what_is_needed(slug):
    result = calculate(BY_SLUG[slug], {})
    assert result.answer is None
    assert result.missing


@pytest.mark.parametrize("slug", BY_SLUG)
def test_words_for_a_number_are_answered_with_the_name_of_the_input(slug):
    calculator = BY_SLUG[slug]
    number = next((one for one in calculator.fields if one.is_number), None)
    if number is None:
        result = calculate(calculator, {**ANSWERS[slug][0], "before": "fast"})
        assert "fast" in result.problems[0]
        return
    result = calculate(calculator, {**ANSWERS[slug][0], number.name: "about ten"})
    assert result.problems == (f"{number.label}: “about ten” is not a number.",)


REFUSALS = {
    "swapped sag readings": ("sag", {"after_push": "101", "after_lift": "95"}, "swapped"),
    "a rake of 66": ("geometry", {"rake": "66"}, "from the horizontal"),
    "2.3 kPa": ("pressure", {"cold": "2.3", "cold_unit": "kPa"}, "230 kPa"),
    "a motion ratio of 2": (
        "shock-rate", {"curve": "", "ratio": "2.0"}, "inverse ratio"),
    "5W": ("oil", {"grade": "5W"}, "label of a bottle"),
    "three depths": ("wear", {"centre": "4\n3.7\n3.5"}, "4 or more"),
    "words among depths": ("wear", {"centre": "4\nworn"}, "“worn” is no session and depth"),
    "words in a curve": ("shock-rate", {"curve": "20 nine"}, "no pair of wheel mm"),
    "no rake": ("spring-needed", {"rake": ""}, "needs the rake"),
    "no ratio": ("spring-needed", {"end": "rear"}, "needs a motion ratio"),
    "nothing seen": ("push", {"swings": ""}, "Enter what was seen"),
    "half a count": ("evidence", {"seen": "1.5"}, "whole numbers"),
    "words among rings": ("ring", {"rings": "96 far"}, "“far” is no ring in mm"),
    "nothing changed": ("ring", {"new_rate": ""}, "Enter what is changed"),
    "no preload left": ("ring", {"more_preload": "-30"}, "preload"),
    "oil in a shock": (
        "ring", {"end": "rear", "rate": "95", "new_rate": "", "oil_level": "5", "rings": "28",
                 "usable": "60"}, "air of a fork"),
    "a foreign unit": ("sag", {"hanging_unit": "psi"}, "not a unit"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_each_typing_mistake_is_named_in_a_sentence(case):
    slug, slip, says = REFUSALS[case]
    result = calculate(BY_SLUG[slug], {**ANSWERS[slug][0], **slip})
    assert result.answer is None
    assert says in result.problems[0]


def _lines(typed):
    answer = calculate(BY_SLUG["ring"], typed).answer
    return {str(line.label): (line.value, line.note) for line in answer.lines}, answer


def test_a_spring_swap_is_told_beside_the_same_swap_with_the_sag_kept():
    lines, answer = _lines(ANSWERS["ring"][0])
    assert lines["Sag with rider"][0] == "−4.8 mm"
    moves, preload = lines["With the sag kept"]
    assert (moves, preload) == ("ring −4.9 mm", "preload −5.1 mm")
    assert answer.says[0].startswith("Ring about 9 mm further from the end of its travel")
    assert "ring-band" in answer.picture


def test_an_aim_for_the_ring_says_preload_springs_and_springs_with_the_sag_kept():
    typed = {**ANSWERS["ring"][0], "new_rate": "", "aim": "88"}
    lines, _answer = _lines(typed)
    assert list(lines) == ["By preload", "By springs", "By springs, sag kept"]
    assert lines["By springs"][0] == "+0.90 N/mm a leg: fit 10.4"
    assert lines["By springs, sag kept"][1].endswith("the sag stays")


def test_the_ring_of_a_shock_is_told_on_its_shaft():
    typed = {"end": "rear", "rings": "28 28.5 27.5", "usable": "60", "rate": "95", "preload": "10",
             "ratio": "0.5", "more_preload": "4"}  # fmt: skip
    lines, answer = _lines(typed)
    assert lines["Ring"][1].startswith("−4.0 mm; nine outings in ten from")
    assert any("10 to 14 % too large" in caution for caution in answer.cautions)


def test_a_ring_at_the_end_of_its_travel_is_asked_again():
    typed = {**ANSWERS["ring"][0], "rings": "112 113"}
    assert "the ring hides what is missing" in calculate(BY_SLUG["ring"], typed).ask_again
    assert calculate(BY_SLUG["ring"], {**typed, "sure": "1"}).answer


def test_a_rear_wheel_in_the_air_is_said_and_no_fork_travel_given():
    typed = {**ANSWERS["braking"][0], "slowing": "1.2"}
    answer = calculate(BY_SLUG["braking"], typed).answer
    assert [(line.label, line.value) for line in answer.lines] == [("Rear lifts at", "1.13 g")]
    assert "At 1.20 g the rear wheel is in the air." in answer.says[0]


def test_a_fork_at_its_end_is_said_and_no_fork_travel_given():
    typed = {**ANSWERS["braking"][0], "usable": "120"}
    answer = calculate(BY_SLUG["braking"], typed).answer
    assert answer.main.value == "at its end"
    assert "past its usable 120 mm" in answer.says[0]


def test_three_laps_a_side_say_how_sure_their_range_is():
    typed = {**ANSWERS["pace"][0], "before": "103\n103.4\n102.8", "after": "99.6\n99.9\n99.2"}
    note = calculate(BY_SLUG["pace"], typed).answer.main.note
    assert "holds the truth 90 times in 100" in note


def test_a_rate_in_kgf_typed_as_n_is_asked_again_and_taken_when_sure():
    typed = {"left": "0.95", "right": "0.95", "rake": "24"}
    assert "9.32 N/mm" in calculate(BY_SLUG["fork-rate"], typed).ask_again
    sure = calculate(BY_SLUG["fork-rate"], {**typed, "sure": "1"})
    assert sure.answer.main.value == "2.28 N/mm"


@pytest.mark.parametrize(
    ("slug", "typed", "first"),
    [
        ("sag", {"hanging": "5", "hanging_unit": "in", "after_push": "95"}, "1.14 in"),
        ("fork-rate", {"left": "0,95", "left_unit": "kgf/mm", "right": "9.32"}, "2.28 kgf/mm"),
        ("pressure", {"cold": "26.11", "cold_unit": "psi"}, "23.3 psi"),
        ("oil", {"cold": "46.4", "cold_unit": "degF"}, "4.3 times"),
    ],
)
def test_other_units_and_a_decimal_comma(slug, typed, first):
    answer = calculate(BY_SLUG[slug], {**ANSWERS[slug][0], **typed}).answer
    value, unit = answer.main.value.split()
    assert float(value) == pytest.approx(float(first.split()[0]), abs=0.06)
    assert unit == first.split()[1]


def test_altitude_and_barometer_are_both_understood():
    typed = ANSWERS["pressure"][0]
    high = calculate(BY_SLUG["pressure"], {**typed, "altitude": "2000"}).answer
    read = calculate(BY_SLUG["pressure"], {**typed, "station": "795.01"}).answer
    assert high.main.value == read.main.value != "160.6 kPa"
    sea = calculate(BY_SLUG["pressure"], {**typed, "altitude": "2000", "station": "1013"}).answer
    assert any("sea-level" in caution for caution in sea.cautions)


def test_no_maker_range_no_figure():
    typed = {**ANSWERS["pressure"][0], "cold_low": "", "cold_high": ""}
    answer = calculate(BY_SLUG["pressure"], typed).answer
    assert answer.main.value == "no figure"
    assert "not entered" in answer.main.note


def test_without_a_target_the_ends_of_the_makers_hot_range_are_worked_out():
    typed = {**ANSWERS["pressure"][0], "target": ""}
    asked = calculate(BY_SLUG["pressure"], typed).answer
    assert "target hot" in asked.says[0]
    answer = calculate(BY_SLUG["pressure"], {**typed, "hot_low": "220", "hot_high": "300"}).answer
    assert answer.main.value == "152.7 kPa … no figure"
    assert "outside the maker's range" in answer.main.note


def test_an_old_hot_reading_is_not_used():
    answer = calculate(BY_SLUG["pressure"], {**ANSWERS["pressure"][0], "minutes": "7"}).answer
    assert "7 min old" in answer.main.value
    assert not any(line.label == "Set cold" for line in answer.lines)


@pytest.mark.parametrize("state", ["cold", "warm"])
def test_a_push_that_was_not_hot_is_marked_with_the_oils_ratio(state):
    answer = calculate(BY_SLUG["push"], {**ANSWERS["push"][0], "oil": state}).answer
    assert answer.main.note == f"oil {state}: for the record only"
    assert "3.9 to 4.5 times as thick" in answer.cautions[0]
    assert "do not set rebound" in answer.cautions[0]


@pytest.mark.parametrize(
    ("typed", "kind", "interval"),
    [
        ({"seconds": "1.0"}, "settles", None),
        ({"seconds": "2.5"}, "slow return", None),
        ({"seconds": "0.5"}, "quick return", None),
        ({"swings": "3"}, "keeps bouncing", "0.23–0.30"),
        ({"swings": "0"}, "settles", "0.69 or more"),
        ({"drop": "40", "overshoot": "8"}, "one overshoot, then settles", "0.40–0.52"),
        ({"comes_up": "stays"}, "does not return", None),
        ({"comes_up": "slow", "swings": "0"}, "slow return", None),
        ({"comes_up": "quick"}, "quick return", None),
        ({"comes_up": "right", "swings": "1"}, "one overshoot, then settles", "0.43–0.69"),
        ({"comes_up": "right", "swings": "1", "end": "front"}, "settles", "0.43–0.69"),
    ],
)
def test_a_push_gives_a_class_and_only_where_it_can_an_interval(typed, kind, interval):
    given = {"oil": "hot", "end": "rear", "natural": "2", **typed}
    answer = calculate(BY_SLUG["push"], given).answer
    assert answer.main.value == kind
    ratios = [line.value for line in answer.others if "ratio" in str(line.label)]
    assert ratios == ([interval] if interval else [])


def test_one_turn_of_preload_at_either_end():
    front = calculate(BY_SLUG["sag"], {**ANSWERS["sag"][0], "per_turn": "1", "rake": "24"}).answer
    rear = calculate(
        BY_SLUG["sag"], {**ANSWERS["sag"][0], "end": "rear", "per_turn": "1.5", "ratio": "0.5"}
    ).answer
    turns = [
        line.value for answer in (front, rear) for line in answer.others if "turn" in line.label
    ]
    assert turns == ["−1.0 mm of sag", "−3.0 mm of sag"]


def test_own_figures_replace_the_published_ranges():
    typed = {**ANSWERS["sag"][0], "end": "rear", "free": "118"}
    published = calculate(BY_SLUG["sag"], typed).answer
    assert ("Published range", "25–35 mm") in [(li.label, li.value) for li in published.lines]
    assert "disagree" in next(li.note for li in published.lines if li.label == "Published range")
    own = BusinessFigures(bands={"sag_rear_rider": (26, 32), "sag_rear_free": (10, 14)})
    answer = calculate(BY_SLUG["sag"], typed, own).answer
    assert ("Your target", "26–32 mm") in [(li.label, li.value) for li in answer.lines]
    assert "too soft" in answer.says[0]


def test_the_pace_that_reopens_is_the_businesss_own():
    typed = ANSWERS["pace"][0]
    usual = calculate(
        BY_SLUG["pace"], typed, BusinessFigures(bands={"pace_trigger": (3.0, 3.0)})
    ).answer
    later = calculate(
        BY_SLUG["pace"], typed, BusinessFigures(bands={"pace_trigger": (4.0, 4.0)})
    ).answer
    assert "look at the setup again" in usual.says[0]
    assert "under the 4 s" in later.says[0]


def test_wear_says_what_a_session_costs_in_the_businesss_money():
    typed = {**ANSWERS["wear"][0], "new": "4", "price": "180"}
    answer = calculate(BY_SLUG["wear"], typed, BusinessFigures(currency="EUR")).answer
    assert [li.value for li in answer.lines if li.label == "Cost a session"] == ["16.80 EUR"]


def test_a_second_set_of_depths_is_compared():
    later = "0 4.0\n1 3.85\n2 3.6\n3 3.5\n4 3.3\n5 3.05"
    answer = calculate(BY_SLUG["wear"], {**ANSWERS["wear"][0], "later": later}).answer
    (line,) = [li for li in answer.lines if li.label == "After the change"]
    assert line.value == "+0.09 mm"
    assert "wears more slowly" in line.note


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda one: one.slug)
def test_every_answer_states_what_it_assumes_or_warns(calculator):
    answer = calculate(calculator, ANSWERS[calculator.slug][0]).answer
    assert answer.assumptions or answer.cautions or calculator.slug == "pace"
    assert calculator.formula
    assert str(calculator.source)


@pytest.mark.parametrize("slug", ["push", "pressure", "wear", "geometry", "ring"])
def test_pictures_have_words_and_no_style(slug):
    picture = calculate(BY_SLUG[slug], ANSWERS[slug][0]).answer.picture
    assert re.search(r'role="img" aria-label="[^"]{12,}"', picture)
    assert "style=" not in picture
    assert len(picture) < 12_000


def test_sentences_are_said_in_the_readers_language():
    inner = Words("cold")
    sentence = Words("{state}: {minutes:g} min old", state=inner, minutes=3)
    said = {"cold": "kalt", "{state}: {minutes:g} min old": "{minutes:g} min alt, {state}"}
    before = translate_by(said.get)
    try:
        assert str(sentence) == "3 min alt, kalt"
    finally:
        translate_by(before)
    assert str(sentence) == "cold: 3 min old"
