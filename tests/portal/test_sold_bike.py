"""A sold bike: the buyer's from the day of the sale, the seller's days stay the seller's.

Everything the seller or the tuner wrote in the seller's time holds one marked word, and so does
what was written in the buyer's time: neither reads the other's.
"""

import io
import re
import uuid
import zipfile
from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from jobs.acts.services import act_apply
from jobs.garage.models import Adjuster, Bike, Fitting, FormerOwner
from jobs.garage.office import bike_owner_change
from jobs.people.models import Customer, Rider
from jobs.setups.models import BikePhoto, Expectation, Reading
from jobs.trackday.models import Entry
from tests.acts.corpus_day import picture
from tests.acts.doing import clock_set
from tests.advice.story import Story
from tests.days import local
from tests.photos import photo_kept

pytestmark = pytest.mark.django_db

SELLERS, BUYERS = "Qxzj", "Vwkq"  # in no other word of a page


class Sold(Story):
    """A day of the seller, the sale ten days later, a day of the buyer after thirty days."""

    def __init__(self, cast):
        super().__init__(cast)
        self.seller, self.buyer = cast.customer_a.customer, cast.customer_b.customer
        self.bike = self.entry.bike
        self.sellers_day = self.entry
        Bike.objects.filter(pk=self.bike.pk).update(owner=self.seller)
        self.ridden_by(self.seller, SELLERS)
        Fitting.objects.create(
            bike=self.bike, end="rear", kind="tyre", name="Rondo soft", fitted_at=local(7),
            price_minor=98765, new_depth_mm="4.0",
        )  # fmt: skip
        self.came_in(1)
        self.written(SELLERS, 10, 13)
        self.sellers_photo = self.photo(SELLERS)
        self.sold_at = local(12) + timedelta(days=10)

    def is_sold(self, **more):
        self.bike.refresh_from_db()
        bike_owner_change(bike=self.bike, owner=self.buyer, at=self.sold_at, **more)

    def buyer_rides(self):
        self.comes_back(after=30)
        self.ridden_by(self.buyer, BUYERS)
        self.came_in(1)
        self.written(BUYERS, 13, 17)

    def ridden_by(self, customer, mark):
        rider = Rider.objects.create(customer=customer, name=f"Rider {mark}")
        Entry.objects.filter(pk=self.entry.pk).update(
            rider=rider, payer=customer, complaint=f"{mark} complaint"
        )
        self.entry.refresh_from_db()

    def written(self, mark, before, after):
        rebound = Adjuster.objects.get(bike=self.bike, end="front", function="rebound")
        move = {"adjuster": rebound.pk, "from_position": str(before), "to_position": str(after)}
        done = self.act(
            "change", moves=[move], reason=f"{mark} reason", step_reason=f"{mark} step",
            expectation=f"{mark} expectation",
        )  # fmt: skip
        expectation = Expectation.objects.get(adjustment=done.pk)
        self.act(
            "judgement", expectation=str(expectation.pk), verdict="seen", words=f"{mark} verdict"
        )
        self.found("", end="", words=f"{mark} said", by_rider=True)
        self.read("push", "front", "s", seconds=1.6)
        self.laps(100)
        self.act("keep", kind="dry", name=f"{mark} kept")

    def photo(self, mark):
        act_id = uuid.uuid4()
        photo = uuid.uuid5(act_id, "photo")
        photo_kept(photo_id=photo, upload=SimpleUploadedFile("seen.jpg", picture(), "image/jpeg"))

        done = act_apply(
            act_id=act_id, kind="photo", by=self.tuner, trackday=self.trackday,
            payload={
                "entry": self.entry.pk, "photo": str(photo), "subject": "bike",
                "words": f"{mark} photo",
            },
        )  # fmt: skip
        assert done.outcome == "applied", done.answer
        return photo


@pytest.fixture
def sold(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return Sold(cast)


@pytest.fixture
def seller(signed_in, customer_a):
    return signed_in(customer_a)


@pytest.fixture
def buyer(signed_in, customer_b):
    return signed_in(customer_b)


def day(browser, entry):
    return browser.get(reverse("portal:day", args=[entry.pk]))


def everything(browser, sold):
    """All that a customer can read: pages of bike and days, the interface, the package."""
    found = [
        browser.get(reverse("portal:everything")),
        browser.get(reverse("portal:bike", args=[sold.bike.pk])),
        *(day(browser, entry) for entry in Entry.objects.filter(bike=sold.bike)),
        browser.get(reverse("api:bike", args=[sold.bike.pk])),
        *(
            browser.get(reverse("api:bike-day", args=[entry.pk]))
            for entry in Entry.objects.filter(bike=sold.bike)
        ),
    ]
    texts = [answer.content.decode() for answer in found if answer.status_code == 200]
    package = b"".join(browser.get(reverse("portal:download")).streaming_content)
    with zipfile.ZipFile(io.BytesIO(package)) as archive:
        texts += [archive.read(n).decode() for n in archive.namelist() if n.endswith(".csv")]
    return "\n".join(texts)


def test_before_the_sale_all_of_it_is_the_sellers(sold, seller, buyer):
    read = everything(seller, sold)
    for written in ("complaint", "reason", "expectation", "verdict", "said", "kept", "photo"):
        assert f"{SELLERS} {written}" in read
    assert "98765" in read  # what the tyre cost
    assert "17 out" not in read
    assert buyer.get(reverse("portal:bike", args=[sold.bike.pk])).status_code == 404


@pytest.mark.parametrize("agreed", [False, True])
def test_the_buyer_never_reads_the_sellers_name_words_prices_or_photos(sold, buyer, agreed):
    sold.is_sold(shown_to_next=agreed)
    sold.buyer_rides()
    read = everything(buyer, sold)
    assert SELLERS not in read
    assert sold.seller.name not in re.findall(r"\b\w+\b", read)
    assert "98765" not in read
    assert str(sold.sellers_photo) not in read
    assert f"{BUYERS} reason" in read
    photo = reverse("portal:photo", args=[sold.sellers_photo])
    assert buyer.get(photo).status_code == 404


def test_the_buyer_sees_days_of_before_only_where_the_seller_agreed(sold, buyer):
    sold.is_sold()
    sold.buyer_rides()
    assert day(buyer, sold.sellers_day).status_code == 404
    assert day(buyer, sold.entry).status_code == 200
    FormerOwner.objects.update(shown_to_next=True)
    page = day(buyer, sold.sellers_day).content.decode()
    assert "This day was another owner" in page
    assert "from 10 out to 13 out" in page  # what was done to the machine
    assert "Pace" not in page  # how fast somebody rode is theirs


def test_the_seller_keeps_the_days_and_reads_nothing_of_the_buyer(sold, seller):
    sold.is_sold(shown_to_next=True)
    sold.buyer_rides()
    page = day(seller, sold.sellers_day).content.decode()
    assert f"{SELLERS} reason" in page
    assert f"ridden by Rider {SELLERS}" in page
    assert day(seller, sold.entry).status_code == 404
    read = everything(seller, sold)
    assert BUYERS not in read
    assert sold.buyer.name not in re.findall(r"\b\w+\b", read)
    bike = seller.get(reverse("portal:bike", args=[sold.bike.pk])).content.decode()
    assert "You sold this bike" in bike
    assert "Where it stands" not in bike
    assert "17 out" not in bike


def test_the_day_of_the_sale_is_whole_for_who_pays_it(sold, seller, buyer):
    """Sold in the evening of the seller's day: the buyer sees what the machine was set to."""
    sold.sold_at = local(19)
    sold.is_sold()
    assert f"{SELLERS} reason" in day(seller, sold.sellers_day).content.decode()
    page = day(buyer, sold.sellers_day).content.decode()
    assert "from 10 out to 13 out" in page
    assert SELLERS not in everything(buyer, sold)


def test_a_photo_the_tuner_marked_as_the_machines_is_shown_without_its_words(
    sold, buyer, signed_in, tuner
):
    sold.is_sold()
    sold.buyer_rides()
    [row] = BikePhoto.objects.all()
    form = {"photo": [str(row.pk), "no-id"]}
    answer = signed_in(tuner).post(
        reverse("board:sheet-owner-shows", args=[sold.entry.pk]), form, follow=True
    )
    assert "Kept." in answer.content.decode()
    page = buyer.get(reverse("portal:bike", args=[sold.bike.pk])).content.decode()
    assert str(sold.sellers_photo) in page
    assert SELLERS not in page
    answer = buyer.get(reverse("portal:photo", args=[sold.sellers_photo]))
    assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")  # a JPEG
    for close in answer._resource_closers:
        close()


def test_the_office_says_what_the_seller_agreed_to_and_corrects_it(sold, buyer, signed_in, office):
    desk = signed_in(office)
    owner = reverse("board:sheet-owner", args=[sold.sellers_day.pk])
    sold_on = sold.sold_at.date().isoformat()
    clock_now = sold.sold_at + timedelta(days=1)
    with time_machine.travel(clock_now):
        desk.post(owner, {"owner": sold.buyer.pk, "sold_on": sold_on, "shown": "on"})
    [sale] = FormerOwner.objects.all()
    assert sale.shown_to_next
    assert sale.until == local(0) + timedelta(days=10)  # the day has no session of the seller's
    assert day(buyer, sold.sellers_day).status_code == 200
    shows = reverse("board:sheet-owner-shows", args=[sold.sellers_day.pk])
    desk.post(shows, {"sale": []})
    assert day(buyer, sold.sellers_day).status_code == 404


def test_a_helper_does_not_decide_what_a_buyer_sees(sold, signed_in, helper):
    sold.is_sold()
    shows = reverse("board:sheet-owner-shows", args=[sold.sellers_day.pk])
    assert signed_in(helper).post(shows, {}).status_code == 403


def test_a_link_the_seller_made_to_their_day_opens_after_the_sale(sold, seller):
    seller.post(reverse("portal:share", args=[sold.sellers_day.pk]))
    page = day(seller, sold.sellers_day).content.decode()
    link = re.search(r'href="[^"]*(/shared/[^"]+)"', page)[1]
    sold.is_sold()
    assert Client().get(link).status_code == 200
    assert f"{SELLERS} reason" in Client().get(link).content.decode()


def test_sold_on_again_each_has_their_own_days(sold, cast, seller, buyer, signed_in):
    sold.is_sold(shown_to_next=True)
    sold.buyer_rides()
    third = Customer.objects.create(name="Cleo")
    clock_set(sold.trackday, local(19) + timedelta(days=30))
    sold.bike.refresh_from_db()
    bike_owner_change(
        bike=sold.bike, owner=third, at=local(12) + timedelta(days=40), shown_to_next=False
    )
    assert day(seller, sold.sellers_day).status_code == 200
    assert day(seller, sold.entry).status_code == 404
    assert day(buyer, sold.entry).status_code == 200
    assert day(buyer, sold.sellers_day).status_code == 404  # shown to the owner of now only
    assert Reading.objects.filter(entry=sold.entry).exists()


def test_sold_in_the_evening_of_a_day_the_seller_pays_for(sold, signed_in, office):
    """What was written on that day was written for the seller: it stays theirs."""
    desk, day_of = signed_in(office), sold.trackday.date
    owner = reverse("board:sheet-owner", args=[sold.sellers_day.pk])
    with time_machine.travel(local(12) + timedelta(days=3)):
        desk.post(owner, {"owner": sold.buyer.pk, "sold_on": day_of.isoformat()})
    [sale] = FormerOwner.objects.all()
    assert sale.until == local(0) + timedelta(days=1)


@pytest.mark.parametrize(
    ("sold_on", "said"),
    [
        ("2999-01-01", "This day is still to come"),
        ("", "This field is required"),
        ("yesterday", "Enter a valid date"),
    ],
)
def test_a_day_of_sale_that_cannot_be_is_named_and_nothing_is_passed_on(
    sold, signed_in, office, sold_on, said
):
    owner = reverse("board:sheet-owner", args=[sold.sellers_day.pk])
    answer = signed_in(office).post(owner, {"owner": sold.buyer.pk, "sold_on": sold_on})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert FormerOwner.objects.count() == 0


def test_a_sale_before_the_last_one_is_refused(sold, signed_in, office):
    sold.is_sold()
    owner = reverse("board:sheet-owner", args=[sold.sellers_day.pk])
    before = (sold.sold_at - timedelta(days=1)).date().isoformat()
    with time_machine.travel(sold.sold_at + timedelta(days=2)):
        answer = signed_in(office).post(owner, {"owner": sold.seller.pk, "sold_on": before})
    assert answer.status_code == 422
    assert "this sale must be later" in answer.content.decode()
    assert FormerOwner.objects.count() == 1
