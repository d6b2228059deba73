"""Photos before and after: what an end looked like when it was changed, and since."""

import uuid

import pytest

from jobs.files.models import Photo
from jobs.setups import services
from jobs.setups.selectors import identity_photo_of_bike, photos_beside, photos_of_entry

from ..days import day_build
from .writing import change, origin

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def photo(by, entry, subject="tyre", end="rear", place="left shoulder", **more):
    kept = Photo.objects.create(id=uuid.uuid4(), picture="p.jpg", small="s.jpg", width=1, height=1)
    return services.photo_write(
        origin=origin(by, entry), bike=entry.bike, photo=kept, subject=subject, end=end,
        place=place, **more,
    )  # fmt: skip


def expected_of(by, entry, **more):
    row = change(by, entry, 14, 12)
    return services.expectation_write(
        origin=origin(by, entry), adjustment=row, text="settles", **more
    )


def beside(expectation):
    pair = photos_beside([expectation]).get(expectation.pk)
    return (pair.before, pair.after) if pair else None


def test_a_place_is_shown_by_its_first_and_its_last_photo(tuner, entry):
    alone = photo(tuner, entry, place="centre")
    first, _between, last = (photo(tuner, entry) for _ in range(3))
    shown = [(pair.before, pair.after) for pair in photos_of_entry(entry)]
    assert shown == [(alone, None), (first, last)]


def test_beside_an_expectation_stand_the_last_photo_before_the_change_and_the_newest(tuner, entry):
    photo(tuner, entry)
    before = photo(tuner, entry)
    expectation = expected_of(tuner, entry)
    assert beside(expectation) == (before, None)
    photo(tuner, entry)
    after = photo(tuner, entry)
    photo(tuner, entry, place="centre")
    assert beside(expectation) == (before, after)


def test_the_photo_of_its_own_finding_comes_before_the_last_of_that_end(tuner, entry):
    finding = services.finding_write(origin=origin(tuner, entry), bike=entry.bike, words="a lip")
    of_it = photo(tuner, entry, end="front", finding=finding)
    photo(tuner, entry)
    assert beside(expected_of(tuner, entry, finding=finding)) == (of_it, None)


def test_without_a_photo_of_that_end_before_the_change_there_is_none(tuner, entry):
    photo(tuner, entry, end="front")
    photo(tuner, entry, subject="bike", end="", place="")
    expectation = expected_of(tuner, entry)
    photo(tuner, entry)
    assert beside(expectation) is None


def test_the_newest_photo_of_the_bike_tells_it_apart(tuner, entry):
    photo(tuner, entry, subject="bike", end="", place="")
    newest = photo(tuner, entry, subject="bike", end="", place="")
    photo(tuner, entry)
    assert identity_photo_of_bike(entry.bike) == newest
