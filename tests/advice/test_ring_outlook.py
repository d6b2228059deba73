"""What a change of an adjuster should show in the ring, and where the ring after it came."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.advice.selectors import ring_landed, ring_outlook_of
from jobs.garage.enums import Firming, Function, Unit
from jobs.garage.models import Adjuster, Bike, Fitting
from jobs.people.models import Rider
from jobs.setups.models import Expectation
from jobs.trackday.models import Entry
from jobs.tuning.outlook import Landed, Visible
from jobs.tuning.terms import Verdict

from ..days import local
from ..markup import one_line
from ..queries import queries
from .story import Story


@pytest.fixture
def ridden(cast):
    """A bike whose figures are known, with a fork and a shock whose preload counts in mm."""
    story = Story(cast)
    Bike.objects.filter(pk=story.entry.bike_id).update(
        front_spring_left_n_per_mm="9.5", front_spring_right_n_per_mm="9.5",
        rear_spring_n_per_mm=95, rear_shaft_stroke_mm=60,
        linkage_curve=[[0, 0], [30, 14.2], [60, 29.2], [90, 45.0], [120, 61.7]],
    )  # fmt: skip
    story.preloads = {
        end: Adjuster.objects.create(
            bike=story.entry.bike, end=end, leg="both", function=Function.PRELOAD, unit=Unit.MM,
            highest=20, firming=Firming.UP, range_counted=True,
        )
        for end in ("front", "rear")
    }  # fmt: skip
    story.springs = {
        end: Adjuster.objects.create(
            bike=story.entry.bike, end=end, leg="both", function=Function.SPRING,
            unit=Unit.N_PER_MM, lowest=low, highest=high, step=step, origin="zero",
            firming=Firming.UP,
        )
        for end, low, high, step in (("front", 5, 15, "0.5"), ("rear", 40, 160, 5))
    }  # fmt: skip
    stand = {"front": "9.5", "rear": "95"}
    story.act(
        "count",
        counts=[
            *({"adjuster": one.pk, "position": "5"} for one in story.preloads.values()),
            *({"adjuster": one.pk, "position": stand[one.end]} for one in story.springs.values()),
        ],
    )
    return story


def ring(story, number, end, used, **more):
    story.came_in(number)
    values = [{"name": "used", "value": str(used), "unit": "mm"}]
    if "reset" in more:
        values.append({"name": "reset", "on": more["reset"]})
    place = "" if end == "front" else "shock_shaft"
    return story.act("reading", kind="travel", end=end, values=values, place=place)


def asked(story, end, to, start=5):
    entry = Entry.objects.select_related("trackday__venue", "bike", "rider").get(pk=story.entry.pk)
    adjuster = Adjuster.objects.select_related("bike").get(pk=story.preloads[end].pk)
    return ring_outlook_of(entry, [(adjuster, start, to)])


def changed(story, end, to, expectation="ring moves", start=5):
    story.act(
        "change",
        moves=[
            {
                "adjuster": story.preloads[end].pk,
                "from_position": str(start),
                "to_position": str(to),
            }
        ],
        expectation=expectation,
        step_reason="asked for",
    )
    return Expectation.objects.order_by("-accepted_at").first()


def test_one_mm_of_fork_preload_is_too_small_for_the_ring(ridden):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    found = asked(ridden, "front", 6)
    assert found.told.visibility.visible == Visible.TOO_SMALL
    assert found.sentence.startswith("Too small for the ring (0.8 mm in a band of ±")
    assert "read the sag before and after" in found.sentence


def test_the_sag_that_was_read_says_where_to_look(ridden):
    ring(ridden, 1, "front", 90)
    ridden.read("sag", "front", "mm", hanging=120, after_push=85, after_lift=87)
    assert asked(ridden, "front", 8).sentence.endswith("look at sag, it should be 2.8 mm less.")


def test_four_mm_of_shock_preload_are_seen_by_one_outing_and_land(ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    found = asked(ridden, "rear", 9)
    assert found.told.visibility.visible == Visible.IN_ONE
    assert found.sentence.startswith("Ring about 4 mm further from the end of its travel")
    expectation = changed(ridden, "rear", 9, found.sentence)
    assert ring_landed(expectation) is None  # nothing was read since
    ring(ridden, 4, "rear", 26.5)
    landed = ring_landed(expectation)
    assert (landed.landing.landed, landed.verdict) == (Landed.INSIDE, Verdict.SEEN)
    assert landed.sentence.endswith("Seen by the ring.")
    assert landed.outlook.told.band.middle_mm == pytest.approx(found.told.band.middle_mm)


def test_a_ring_where_it_was_is_not_seen_and_one_that_reads_the_same_is_asked_about(ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    expectation = changed(ridden, "rear", 9)
    reading = ring(ridden, 4, "rear", 30.5)
    assert ring_landed(expectation).verdict == Verdict.NOT_SEEN
    ridden.act("withdraw", row=str(reading.pk))
    ring(ridden, 4, "rear", 29.5)
    same = ring_landed(expectation)
    assert (same.landing.landed, same.verdict) == (Landed.DOUBTFUL, None)
    assert same.sentence == "29.5 mm is the last reading again: was the ring put back?"


def test_a_change_that_cannot_be_seen_is_not_judged_by_the_ring(ridden):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    expectation = changed(ridden, "front", 6)
    ring(ridden, 4, "front", 88)
    found = ring_landed(expectation)
    assert (found.landing.landed, found.verdict) == (Landed.INSIDE, None)
    assert found.sentence.endswith("it cannot be told by the ring.")


def test_without_a_ring_nothing_is_told(ridden):
    found = asked(ridden, "front", 6)
    assert found.told is None
    assert "No ring has been read of this rider here" in found.refused


def test_at_the_end_of_its_travel_the_ring_hides_what_is_missing(ridden):
    ring(ridden, 1, "front", 112)
    assert "the ring hides what is missing" in asked(ridden, "front", 6).refused


def test_a_second_change_at_an_end_is_refused_by_name(ridden):
    ring(ridden, 1, "front", 90)
    changed(ridden, "front", 6)
    found = asked(ridden, "front", 7, start=6)
    assert "Several changes at this end for one outing (preload, this one)" in found.refused


def test_another_rider_or_surface_begins_anew(ridden):
    ring(ridden, 1, "front", 90)
    ring(ridden, 2, "front", 91)
    assert asked(ridden, "front", 6).told is not None
    ridden.came_in(3)
    ridden.act("conditions", wet=True, trackday=ridden.trackday.pk)
    assert "No ring has been read" in asked(ridden, "front", 6).refused
    ridden.came_in(4)
    ridden.act("conditions", wet=False, trackday=ridden.trackday.pk)
    assert asked(ridden, "front", 6).told is not None
    other = Rider.objects.create(customer=ridden.entry.payer, name="Another rider")
    ridden.entry = Entry.objects.create(
        trackday=ridden.trackday, group=ridden.day.groups[1], bike=ridden.entry.bike, rider=other,
        package=ridden.day.package, payer=ridden.entry.payer, number="8",
    )  # fmt: skip
    assert "No ring has been read of this rider" in asked(ridden, "front", 6).refused


def test_a_tyre_of_another_kind_begins_anew(ridden):
    Fitting.objects.create(
        bike=ridden.entry.bike, end="front", kind="tyre", name="Slick A", fitted_at=local(7)
    )
    ring(ridden, 1, "front", 90)
    assert asked(ridden, "front", 6).told is not None
    Fitting.objects.update(removed_at=local(9, 40))
    Fitting.objects.create(
        bike=ridden.entry.bike, end="front", kind="tyre", name="Slick B",
        fitted_at=local(9, 40),
    )  # fmt: skip
    ridden.came_in(2)
    assert "No ring has been read" in asked(ridden, "front", 6).refused


@pytest.mark.parametrize(
    ("end", "figure", "named"),
    [
        ("front", "front_usable_travel_mm", "usable travel of the fork"),
        ("rear", "rear_shaft_stroke_mm", "usable stroke of the shock's shaft"),
    ],
)
def test_a_figure_that_is_missing_is_asked_for(ridden, end, figure, named):
    ring(ridden, 1, end, 90 if end == "front" else 30)
    Bike.objects.filter(pk=ridden.entry.bike_id).update(**{figure: None})
    assert named in asked(ridden, end, 6).refused


def test_a_ring_that_does_not_count_is_named_in_what_the_band_rests_on(ridden):
    ring(ridden, 1, "front", 90, reset=False)
    ring(ridden, 2, "front", 92)
    ring(ridden, 3, "front", 91)
    found = asked(ridden, "front", 6)
    assert "A ring left out: The ring was not put back." in found.told.cautions


@pytest.mark.parametrize(
    ("function", "words"),
    [
        (Function.REBOUND, "What damping does to the ring cannot be told."),
        (Function.TUBE_HEIGHT, "How the bike stands cannot be told by the ring."),
    ],
)
def test_an_adjuster_that_no_ring_can_show_is_named_and_asks_nothing_of_the_book(
    ridden, function, words
):
    ring(ridden, 1, "front", 90)
    moved = Adjuster(bike=ridden.entry.bike, end="front", function=function)
    with queries() as counted:
        assert ring_outlook_of(ridden.entry, [(moved, 10, 8)]).refused == words
        pressure = Adjuster(bike=ridden.entry.bike, end="front", function=Function.TYRE_PRESSURE)
        assert ring_outlook_of(ridden.entry, [(pressure, 10, 8)]) is None
    assert len(counted) == 0


def spring_swap(story, end, to, *more):
    """The outlook of other springs, with ``more`` moves in the same change."""
    entry = Entry.objects.select_related("trackday__venue", "bike", "rider").get(pk=story.entry.pk)
    adjuster = Adjuster.objects.select_related("bike").get(pk=story.springs[end].pk)
    start = {"front": Decimal("9.5"), "rear": Decimal(95)}[end]
    return ring_outlook_of(entry, [(adjuster, start, Decimal(to)), *more])


def test_a_stiffer_pair_of_fork_springs_is_seen_by_one_outing(ridden):
    """One N/mm a leg: -9.9 mm predicted (the feasibility study's simulation, no other source)."""
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    found = spring_swap(ridden, "front", "10.5")
    assert found.told.shift.mm == pytest.approx(-9.2, abs=0.8)
    assert found.told.visibility.visible == Visible.IN_ONE


def test_the_same_swap_with_the_sag_kept_stands_beside_it(ridden):
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    assert spring_swap(ridden, "front", "10.5").kept is None  # no sag was read
    ridden.read("sag", "front", "mm", hanging=120, after_push=85, after_lift=87)
    found = spring_swap(ridden, "front", "10.5")
    assert found.sag_mm == 34
    # The coil carries the same at the sag: k' (x + p') = k (x + p), statics; usual preload 25 mm.
    assert found.kept.preload_mm == pytest.approx(9.5 * 59 / 10.5 - 59, abs=0.01)
    assert found.told.shift.mm < found.kept.ring_moves_mm < 0
    # With that preload in the same change the sag stays and the ring goes just there.
    preload = Adjuster.objects.select_related("bike").get(pk=ridden.preloads["front"].pk)
    moved = Decimal(str(round(found.kept.preload_mm, 3)))
    both = spring_swap(ridden, "front", "10.5", (preload, Decimal(10), Decimal(10) + moved))
    assert both.told.shift.mm == pytest.approx(found.kept.ring_moves_mm, abs=0.01)
    assert both.sag_moves_mm == pytest.approx(0, abs=0.15)  # the air's exponent at rest is 1
    assert both.kept == found.kept


def test_springs_of_the_book_become_the_figure_of_the_bike_and_go_back_with_it(ridden):
    def figures():
        bike = Bike.objects.get(pk=ridden.entry.bike_id)
        return bike.front_spring_left_n_per_mm, bike.front_spring_right_n_per_mm

    done = ridden.act(
        "change",
        moves=[
            {
                "adjuster": ridden.springs["front"].pk,
                "from_position": "9.5",
                "to_position": "10.5",
            }
        ],
    )
    assert figures() == (Decimal("10.5"), Decimal("10.5"))
    ridden.act("withdraw", row=str(done.pk))
    assert figures() == (Decimal("9.5"), Decimal("9.5"))


def test_a_spring_swap_lands_and_the_rings_before_it_still_count(ridden):
    for number, used in enumerate((96, 97, 95), 1):
        ring(ridden, number, "front", used)
    told = spring_swap(ridden, "front", "10.5").told
    ridden.act(
        "change",
        moves=[
            {
                "adjuster": ridden.springs["front"].pk,
                "from_position": "9.5",
                "to_position": "10.5",
            }
        ],
        expectation="ring further from the end",
    )
    # The part itself may be written down too: its rate is in the book.
    ridden.came_in(4)
    ridden.act("fitting", kind="spring", end="front", name="Springs 10.5", detail="10.5 N/mm")
    ring(ridden, 4, "front", 86)
    landed = ring_landed(Expectation.objects.get())
    assert landed.outlook.told.band.middle_mm == pytest.approx(told.band.middle_mm)
    assert landed.verdict == Verdict.SEEN
    again = asked(ridden, "front", 6).told  # the level went with the springs
    assert again.level_mm < 90


def test_damping_moved_with_it_is_refused_by_name_before_and_after(ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    rebound = Adjuster.objects.get(bike=ridden.entry.bike, end="rear", function=Function.REBOUND)
    entry = Entry.objects.select_related("trackday__venue", "bike", "rider").get(pk=ridden.entry.pk)
    preload = ridden.preloads["rear"]
    found = ring_outlook_of(entry, [(preload, 5, 9), (rebound, 10, 8)])
    assert "(this one, rebound)" in found.refused
    moves = [
        {"adjuster": preload.pk, "from_position": "5", "to_position": "9"},
        {"adjuster": rebound.pk, "from_position": "10", "to_position": "8"},
    ]
    ridden.act("change", moves=moves, expectation="ring moves", step_reason="asked for")
    ring(ridden, 4, "rear", 26.5)
    landed = ring_landed(Expectation.objects.get())
    assert (landed.landing, landed.verdict) == (None, None)
    assert "(preload, rebound)" in landed.sentence


def test_a_ring_read_elsewhere_after_the_change_is_refused_by_name(ridden):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    expectation = changed(ridden, "rear", 9)
    ridden.came_in(4)
    ridden.read("travel", "rear", "mm", used=60)  # at the wheel
    assert ring_landed(expectation).sentence == "Read at the wheel."


def test_the_panel_draws_the_ring_and_offers_the_sentence(ridden, browser):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    adjuster = ridden.preloads["rear"]
    url = reverse("board:sheet-preview", args=[ridden.entry.pk, adjuster.pk])
    shown = one_line(browser.get(url, {"by": "3"}).content.decode())
    assert "ring-band" in shown
    assert "Ring about 3 mm further from the end of its travel" in shown
    assert 'name="expects" value="Ring about 3 mm' in shown


def test_the_card_says_where_the_ring_came_and_that_it_cannot_tell(ridden, browser):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    changed(ridden, "front", 6)
    ring(ridden, 4, "front", 88)
    shown = one_line(browser.get(reverse("board:sheet", args=[ridden.entry.pk])).content.decode())
    assert "it cannot be told by the ring." in shown
    assert "Cannot be told by the ring" in shown
    assert "ring-read" in shown


@pytest.mark.parametrize("room", ["board:sheet-act", "board:advice-act"])
def test_what_the_ring_cannot_tell_counts_neither_way_and_the_customer_reads_it(
    ridden, browser, signed_in, cast, room
):
    for number, used in enumerate((90, 92, 89), 1):
        ring(ridden, number, "front", used)
    expectation = changed(ridden, "front", 6, "Too small for the ring: look at sag")
    ring(ridden, 4, "front", 88)
    url = reverse(room, args=[ridden.entry.pk, "judgement"])
    browser.post(url, {"expectation": str(expectation.pk), "verdict": "cannot_be_told"})
    (judged,) = expectation.judgements.all()
    assert (judged.verdict, judged.words) == ("not_tested", "cannot be told by the ring")
    Bike.objects.filter(pk=ridden.entry.bike_id).update(owner=cast.customer_a.customer)
    mine = signed_in(cast.customer_a)
    page = one_line(mine.get(reverse("portal:day", args=[ridden.entry.pk])).content.decode())
    assert "It could not be tested." in page
    assert "cannot be told by the ring" in page


def test_a_ring_that_tells_offers_no_such_button(ridden, browser):
    for number, used in enumerate((30, 30.5, 29.5), 1):
        ring(ridden, number, "rear", used)
    changed(ridden, "rear", 9)
    ring(ridden, 4, "rear", 26.5)
    shown = one_line(browser.get(reverse("board:sheet", args=[ridden.entry.pk])).content.decode())
    assert "Seen by the ring." in shown
    assert "cannot_be_told" not in shown
