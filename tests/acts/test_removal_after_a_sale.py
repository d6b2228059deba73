"""A bike was sold: the words and photos from before go with its former owner, later ones stay."""

import uuid
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.acts.models import Act
from jobs.acts.removal import customer_remove
from jobs.acts.services import act_apply
from jobs.files.models import Photo
from jobs.garage.models import FormerOwner
from jobs.garage.office import bike_owner_change
from jobs.people.models import Customer
from jobs.setups.models import Adjustment, BikePhoto, Finding
from tests.days import day_build
from tests.photos import photo_kept
from tests.setups.writing import rear_rebound, stands_at

from .corpus_day import picture

pytestmark = pytest.mark.django_db

REMOVED = Finding.removed_words["words"]


@pytest.fixture
def bike(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    day = day_build(bikes=1, customers=[cast.customer_a.customer])
    return day.entries[0].bike


@pytest.fixture
def written(cast, bike):
    """``written("finding", words="...")``: an act in the workshop, outside any trackday."""

    def written(kind: str, **payload) -> Act:
        act = act_apply(
            act_id=payload.pop("act_id", uuid.uuid4()), kind=kind, by=cast.tuner, trackday=None,
            payload={"bike": bike.pk, **payload},
        )  # fmt: skip
        assert act.outcome == "applied", act.answer
        return act

    return written


@pytest.fixture
def photographed(written):
    def photographed(words: str) -> uuid.UUID:
        act_id = uuid.uuid4()
        photo = uuid.uuid5(act_id, "photo")
        file = SimpleUploadedFile("seen.jpg", picture(), "image/jpeg")
        photo_kept(photo_id=photo, upload=file)
        written("photo", act_id=act_id, photo=str(photo), subject="bike", words=words)
        return photo

    return photographed


def counted(written, bike, position, **more):
    adjuster = rear_rebound(bike.entries.get()).pk
    return written("count", counts=[{"adjuster": adjuster, "position": str(position)}], **more)


def test_words_and_photos_from_before_the_sale_go_and_later_ones_stay(
    cast, bike, written, photographed, django_capture_on_commit_callbacks
):
    before = written("finding", words="Ada's shed is damp")
    old = photographed("in Ada's shed")
    counted(written, bike, 14, turned_by="Ada's brother")
    bike_owner_change(bike=bike, owner=cast.customer_b.customer)
    after = written("finding", words="Ben's first ride")
    new = photographed("in Ben's van")
    counted(written, bike, 12, turned_by="Ben's sister")

    with django_capture_on_commit_callbacks(execute=True):
        customer_remove(customer=cast.customer_a.customer, by=cast.tuner)

    assert Finding.objects.get(pk=before.pk).words == REMOVED
    assert "Ada" not in str(list(Act.objects.values_list("payload", "answer")))
    assert [row.turned_by for row in Adjustment.objects.order_by("seq")] == ["", "Ben's sister"]
    assert (Photo.objects.get(pk=old).picture.name, BikePhoto.objects.count()) == ("", 1)
    assert Photo.objects.get(pk=new).picture
    assert Finding.objects.get(pk=after.pk).words == "Ben's first ride"
    assert Act.objects.get(pk=after.pk).payload["words"] == "Ben's first ride"
    assert stands_at(rear_rebound(bike.entries.get())) == 12


def test_with_the_present_owner_everything_said_of_the_bike_goes(cast, bike, written):
    """He sees the whole book of his bike, so all of it is his to have removed."""
    before = written("finding", words="Ada's shed is damp")
    bike_owner_change(bike=bike, owner=cast.customer_b.customer)
    customer_remove(customer=cast.customer_b.customer, by=cast.tuner)
    assert Finding.objects.get(pk=before.pk).words == REMOVED


def test_a_bike_sold_twice_keeps_the_words_of_the_others(cast, bike, written):
    now = timezone.now()
    rows = [written("finding", words=f"word {n}").pk for n in range(3)]
    for n, pk in enumerate(rows):
        Finding.objects.filter(pk=pk).update(done_at=now - timedelta(days=30 - 10 * n))
        Act.objects.filter(pk=pk).update(done_at=now - timedelta(days=30 - 10 * n))
    bike_owner_change(bike=bike, owner=cast.customer_b.customer, at=now - timedelta(days=25))
    cleo = Customer.objects.create(name="Cleo")
    bike_owner_change(bike=bike, owner=cleo, at=now - timedelta(days=15))
    customer_remove(customer=cast.customer_b.customer, by=cast.tuner)
    words = dict(Finding.objects.values_list("pk", "words"))
    assert [words[pk] for pk in rows] == ["word 0", REMOVED, "word 2"]


def test_an_act_refused_before_the_sale_loses_its_words_and_a_later_one_keeps_them(cast, bike):
    refused = [_refused(cast, bike, "Ada")]
    bike_owner_change(bike=bike, owner=cast.customer_b.customer)
    refused.append(_refused(cast, bike, "Ben"))
    customer_remove(customer=cast.customer_a.customer, by=cast.tuner)
    kept = [Act.objects.get(pk=act.pk).payload.get("words", "") for act in refused]
    assert (kept[0], "Ben" in kept[1]) == ("", True)


def _refused(cast, bike, name: str) -> Act:
    act = act_apply(
        act_id=uuid.uuid4(), kind="finding", by=cast.tuner, trackday=None,
        payload={"bike": bike.pk, "words": name * 2000},
    )  # fmt: skip
    assert act.outcome == "refused"
    return act


def test_a_bike_given_to_its_own_owner_was_not_sold(cast, bike):
    bike_owner_change(bike=bike, owner=bike.owner)
    assert not FormerOwner.objects.exists()
