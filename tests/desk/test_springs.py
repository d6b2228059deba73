"""The springs in the van: entered, counted, taken off, and named where a ring has an aim."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.garage.models import SpringInVan
from jobs.people.models import Edit
from tests.markup import one_line
from tests.queries import page_queries

SPRINGS = reverse("desk:springs")
NEW = reverse("desk:spring-new")
TYPED = {"end": "front", "rate_n_per_mm": "10", "description": "240 mm", "pieces": "2"}


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def carried(end, rate, pieces, description=""):
    return SpringInVan.objects.create(
        end=end, rate_n_per_mm=Decimal(rate), description=description, pieces=pieces
    )


def needed(client, **typed):
    """What the workbench says of an aim: a fork at 104 mm, on 9.5 N/mm a leg and 34 mm of sag."""
    given = {
        "end": "front", "rings": "103 105 104", "usable": "120", "rate": "9.5", "preload": "20",
        "sag": "34", "aim": "96", **typed,
    }  # fmt: skip
    address = reverse("workbench:page", args=["ring"], query=given)
    return one_line(client.get(address).content.decode())


def test_an_empty_list_says_what_to_do(desk):
    page = desk.get(SPRINGS).content.decode()
    assert "No springs yet. Enter those you carry" in page
    assert NEW in page


def test_springs_are_entered_counted_again_and_taken_off(desk):
    assert desk.post(NEW, TYPED).url == SPRINGS
    kept = SpringInVan.objects.get()
    assert (str(kept), kept.pieces) == ("10 N/mm 240 mm", 2)
    address = reverse("desk:spring-edit", args=[kept.pk])
    desk.post(address, {**TYPED, "pieces": "0"})
    assert "none left" in desk.get(SPRINGS).content.decode()
    assert "Take it off the list" in desk.get(address).content.decode()
    desk.post(reverse("desk:spring-remove", args=[kept.pk]))
    assert not SpringInVan.objects.exists()
    noted = Edit.objects.order_by("pk").values_list("verb", "title", "changes")
    assert list(noted) == [
        ("new", "10 N/mm 240 mm", {}),
        ("changed", "10 N/mm 240 mm", {"pieces": ["2", "0"]}),
        ("removed", "10 N/mm 240 mm", {}),
    ]


@pytest.mark.parametrize(
    ("slip", "says"),
    [
        ({"rate_n_per_mm": "0.95"}, "Was it 0.95 kgf/mm? That is 9.32 N/mm."),
        ({"rate_n_per_mm": "-10"}, "spring rate"),
        ({"rate_n_per_mm": "ten"}, "Enter a number."),
        ({"pieces": "-1"}, "greater than or equal to 0"),
        ({"pieces": ""}, "This field is required."),
    ],
    ids=str,
)
def test_what_cannot_be_is_named_and_nothing_typed_is_lost(desk, slip, says):
    page = desk.post(NEW, {**TYPED, "description": "made by hand", **slip}).content.decode()
    assert says in page
    assert 'value="made by hand"' in page
    assert not SpringInVan.objects.exists()


def test_an_unusual_rate_is_kept_where_somebody_says_so(desk):
    unusual = {**TYPED, "rate_n_per_mm": "17"}
    assert 'name="sure"' in desk.post(NEW, unusual).content.decode()
    desk.post(NEW, {**unusual, "sure": "on"})
    assert SpringInVan.objects.get().rate_n_per_mm == 17


def test_the_same_springs_are_not_listed_twice(desk):
    desk.post(NEW, TYPED)
    page = desk.post(NEW, TYPED).content.decode()
    assert "These springs are in the list already: count them there." in page
    assert SpringInVan.objects.count() == 1


def test_the_list_asks_as_much_of_three_as_of_one(desk):
    counts = []
    for rate in ("9", "9.5", "10"):
        carried("front", rate, 2)
        counts.append(page_queries(desk, SPRINGS))
    assert counts == [4, 4, 4]


def test_an_aim_names_the_nearest_springs_of_the_van_first(signed_in, tuner):
    client = signed_in(tuner)
    assert "no springs listed: Desk, Springs" in needed(client)
    carried("front", "10", 2, "240 mm")
    carried("front", "10.5", 2, "260 mm")
    carried("front", "9", 2)
    carried("rear", "95", 4)
    text = needed(client)
    nearest, second, by_springs = (
        text.index(words) for words in ("10.5 N/mm 260 mm", "10 N/mm 240 mm", "By springs")
    )
    assert nearest < second < by_springs
    assert "with the sag kept: preload −" in text
    assert "9 N/mm" not in text
    assert "95 N/mm" not in text


def test_a_single_spring_is_no_pair_for_a_fork(signed_in, tuner):
    carried("front", "10.5", 1)
    text = needed(signed_in(tuner))
    assert "no springs that come nearer" in text
    assert "N/mm a leg: fit 10." in text


def test_the_workbench_asks_once_for_all_springs(signed_in, tuner):
    client = signed_in(tuner)
    address = reverse("workbench:answer", args=["ring"])
    carried("front", "10", 2)
    one = page_queries(client, address)
    carried("front", "10.5", 2)
    assert one == page_queries(client, address) == 5
    assert page_queries(client, reverse("workbench:answer", args=["sag"])) == 4
