"""Photos taken where the work is: in a hold, at a failed point, as a task of its own."""

import time
import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.acts.photos import (
    HANDLER,
    LOOK_EVERY_S,
    LookedForUnshown,
    look_for_unshown,
    photos_unshown_drop,
)
from jobs.files.models import Photo
from jobs.files.services import photo_hold
from jobs.outbox import worker
from jobs.outbox.models import Job
from jobs.setups.models import BikePhoto
from jobs.worklist.enums import ItemKind, TaskState
from jobs.worklist.models import Hold, TaskMark
from tests.acts.doing import do, item, pre_grid, task_now
from tests.photos import photos_prepare

from .test_photos import upload

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def hold(browser, day, entry, photo):
    url = reverse("board:do", args=[day.trackday.pk])
    work = reverse("board:work", args=[day.trackday.pk, entry.pk])
    form = {"act_id": str(uuid.uuid4()), "kind": "hold", "entry": entry.pk, "next": work}
    words = {"words": "oil on the left fork tube"}
    browser.post(url, {**form, **words, "photo": photo})
    return browser.get(work).content.decode()


def tick(browser, task, **fields):
    url = reverse("board:tick", args=[task.entry.trackday_id])
    form = {
        "act_id": str(uuid.uuid4()), "task": str(task.id), "entry": task.entry.pk,
        "session": task.session_id or "", "item": task.item.pk, "how": "tick", **fields,
    }  # fmt: skip
    return browser.post(url, form, headers={"HX-Request": "true"}).content.decode()


@pytest.fixture
def photo_task(day):
    """The identifying of a bike asks for a photo."""
    which = item(day.trackday, "noted")
    which.kind, which.points, which.text = ItemKind.PHOTO, [], "Photo of the whole bike"
    which.save()
    return lambda: task_now(day.entries[0], "noted")


def test_a_hold_shows_what_was_seen(day, signed_in, helper, tuner):
    assert "being prepared" in hold(signed_in(helper), day, day.entries[0], upload())
    photos_prepare()
    row = Hold.objects.get()
    assert (row.photo.subject, row.photo.words) == ("damage", "oil on the left fork tube")
    picture = reverse("board:photo", args=[row.photo_id, "small"])
    work = reverse("board:work", args=[day.trackday.pk, day.entries[0].pk])
    assert picture in signed_in(helper).get(work).content.decode()
    assert b"".join(signed_in(tuner).get(picture).streaming_content)


def test_a_bike_is_held_though_its_photo_cannot_be_read(day, signed_in, helper):
    page = hold(signed_in(helper), day, day.entries[0], SimpleUploadedFile("x.jpg", b"no picture"))
    assert "The photo was not kept: " in page
    assert Hold.objects.get().photo is None


def test_a_hold_needs_no_photo(day, signed_in, helper):
    """A browser posts a file field nobody filled as an empty text."""
    page = hold(signed_in(helper), day, day.entries[0], "")
    assert "is held. Only a tuner releases it." in page
    assert Hold.objects.get().photo is None


def test_a_failed_point_takes_its_photo_into_the_hold(day, signed_in, helper):
    task = pre_grid(day.entries[0])
    tick(signed_in(helper), task, **{"point-lever": "fail", "note": "soft", "photo": upload()})
    assert Hold.objects.get().photo == BikePhoto.objects.get(words="soft")


def test_a_photo_is_a_task(day, signed_in, helper, photo_task):
    browser, task = signed_in(helper), photo_task()
    page = browser.get(reverse("board:my-round"), {"task": str(task.id)}).content.decode()
    assert 'type="file"' in page
    assert "Take the photo first" in tick(browser, task)
    tick(browser, task, subject="bike", photo=upload())
    assert photo_task().state == TaskState.DONE
    kept = BikePhoto.objects.get()
    assert (kept.subject, kept.words, kept.by) == ("bike", "Photo of the whole bike", helper)


def test_a_double_tap_keeps_one_photo(day, signed_in, helper, photo_task):
    browser, task, same = signed_in(helper), photo_task(), str(uuid.uuid4())
    for _ in range(2):
        tick(browser, task, act_id=same, photo=upload())
    assert (Photo.objects.count(), BikePhoto.objects.count()) == (1, 1)
    assert TaskMark.objects.filter(item__code="noted").count() == 1


def test_a_photo_already_sent_is_not_asked_for_again_after_a_refusal(
    day, signed_in, helper, photo_task
):
    browser, task = signed_in(helper), photo_task()
    page = tick(browser, task, subject="tyre", photo=upload())
    assert "Say which tyre it is" in page
    assert "The photo is kept." in page
    kept = str(Photo.objects.get().pk)
    assert kept in page
    tick(browser, task, subject="bike", photo_id=kept)
    assert str(BikePhoto.objects.get().photo_id) == kept


def test_taking_the_tick_back_takes_its_photo_back(day, signed_in, helper, photo_task):
    tick(signed_in(helper), photo_task(), subject="bike", photo=upload())
    mark = TaskMark.objects.get(item__code="noted")
    do("withdraw", helper, day.trackday, row=str(mark.pk))
    assert BikePhoto.objects.get().withdrawn_at is not None
    assert photo_task().state != TaskState.DONE


def test_a_photo_of_a_refused_act_is_removed_after_a_day_and_no_other(
    day, signed_in, helper, photo_task
):
    browser, task = signed_in(helper), photo_task()
    refused = tick(browser, task, subject="tyre", photo=upload())
    assert "Say which tyre it is" in refused
    unshown = Photo.objects.get()
    hold(browser, day, day.entries[0], upload())
    emptied = Photo.objects.create(width=0, height=0)  # by a removal: it must not come back
    now = datetime.now(UTC)
    assert photos_unshown_drop(before=now - timedelta(days=1)) == 0
    Photo.objects.update(created_at=now - timedelta(days=1, seconds=1))
    assert photos_unshown_drop(before=now - timedelta(days=1)) == 1
    assert set(Photo.objects.values_list("pk", flat=True)) == {
        Hold.objects.get().photo.photo_id, emptied.pk,
    }  # fmt: skip
    photos_prepare()  # the work that waited for the photo ends quietly
    assert not Job.objects.filter(handler=HANDLER, done_at=None).exists()
    page = tick(browser, task, subject="bike", photo_id=str(unshown.pk))
    assert not BikePhoto.objects.filter(photo=unshown.pk).exists()
    assert "photo" in page.casefold()
    tick(browser, task, subject="bike", photo=upload())
    assert photo_task().state == TaskState.DONE


@pytest.mark.django_db(transaction=True)
def test_its_files_go_with_it_and_the_worker_looks_once_an_hour(monkeypatch):
    photo, _is_new = photo_hold(photo_id=uuid.uuid4(), upload=upload())
    raw = photo.raw.name
    Photo.objects.update(created_at=datetime.now(UTC) - timedelta(days=2))
    monkeypatch.setattr(LookedForUnshown, "at", time.monotonic())
    look_for_unshown()
    assert default_storage.exists(raw)
    monkeypatch.setattr(LookedForUnshown, "at", time.monotonic() - LOOK_EVERY_S)
    worker.ask_for_scheduled()
    assert not default_storage.exists(raw)
    assert not Photo.objects.exists()
