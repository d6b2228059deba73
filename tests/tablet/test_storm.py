"""A day of trouble: three tablets enter acts while wires, browsers and the server fail.

The acts go into the tablets' own queue, in real browsers; what sends them is the page's own
scripts. A fixed seed chooses the trouble.
"""

import contextlib
import os
import random
import signal
import socket
import uuid
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import BrowserContext, Page, Playwright
from playwright.sync_api import Error as PlaywrightError

from jobs.acts.models import Act
from jobs.people import devices
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment
from jobs.worklist.models import Hold
from tests.browsers import FLAGS
from tests.needs import CHROMIUM
from tests.outbox.processes import until
from tests.setups.writing import count, rear_rebound
from tests.wire import Wire

from .conftest import STORE, enrol

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

TABLETS, ACTS, BATCH = 3, 200, 25
KEEP = """async ([store, acts]) => {
    const { keep } = await import(store); for (const act of acts) await keep(act); }"""
LEFT = "async (store) => (await (await import(store)).kept()).map((act) => act.id)"
STANDS = """async () => {
    const { state } = await import('/static/tablet/queue.js');
    const acts = await (await import('/static/tablet/store.js')).kept();
    const known = await navigator.serviceWorker.getRegistration();
    const locks = await navigator.locks.query();
    return { page: location.href, scripts: Boolean(document.querySelector(".tabletbar")), state,
      controlled: Boolean(navigator.serviceWorker.controller), active: known?.active?.state,
      locks: locks.held.map(({ name }) => name), first: acts[0], left: acts.length }; }"""
FLUSH = "() => import('/static/tablet/queue.js').then((queue) => void queue.flush())"


class Rough:
    """One tablet: a browser profile on disk, behind a wire of its own."""

    def __init__(self, playwright: Playwright, folder: Path, port: int, who, cookie) -> None:
        self.playwright, self.folder, self.who = playwright, folder, who
        self.wire = Wire(port)
        self.origin = f"http://127.0.0.1:{self.wire.port}"
        self.entered: list[str] = []
        self.start()
        cookie(self.context, self.origin)
        self.cookies = self.context.cookies()
        self.person = {"id": who.pk, "username": who.username, "name": who.first_name}

    def start(self) -> None:
        self.context: BrowserContext = self.playwright.chromium.launch_persistent_context(
            self.folder, executable_path=CHROMIUM, args=FLAGS
        )
        self.context.set_default_timeout(30_000)
        self.page: Page = self.context.pages[0]

    def open(self) -> None:
        """The tablet's own page: it sends by itself. Without network it may not open."""
        with contextlib.suppress(PlaywrightError):
            self.page.goto(f"{self.origin}/tablet/", wait_until="domcontentloaded")

    def run(self, script: str, argument: object = None):
        for _ in range(50):
            try:
                return self.page.evaluate(script, argument)
            except PlaywrightError as error:
                if not any(word in str(error) for word in ("destroyed", "import", "fetch")):
                    raise
                self.open()
        raise AssertionError("the tablet's page does not come up")

    def enter(self, acts: list[dict]) -> None:
        self.run(KEEP, [STORE, acts])
        self.entered += [act["id"] for act in acts]
        self.run(FLUSH)

    def kill(self) -> None:
        """kill -9 of the browser and all its parts; its profile stays."""
        for process in Path("/proc").iterdir():
            with contextlib.suppress(OSError):
                command = (process / "cmdline").read_bytes().decode().split("\0")
                if process.name.isdecimal() and f"--user-data-dir={self.folder}" in command:
                    os.kill(int(process.name), signal.SIGKILL)
        with contextlib.suppress(PlaywrightError):
            self.context.close()
        (self.folder / "SingletonLock").unlink(missing_ok=True)
        self.start()
        self.context.add_cookies(self.cookies)  # in the field it was written to disk days ago

    def repeat(self, chance: random.Random) -> None:
        """Some of what it ever sent arrives again, late and in any order."""
        for request in chance.sample(self.wire.heard, min(3, len(self.wire.heard))):
            with (
                contextlib.suppress(OSError),
                socket.create_connection(("127.0.0.1", self.wire.target_port), 2) as line,
            ):
                line.sendall(request)
                line.recv(1)


def acts_of(rough: Rough, day, chance: random.Random, n: int) -> list[dict]:
    """Holds and changes; a change's start is what that tablet believes, often wrongly.

    Every third was kept by an older page: as its address and the fields of its form.
    """
    made = []
    for number in range(n):
        entry, name = chance.choice(day.entries), str(uuid.uuid4())
        if rough.who.is_tuner and chance.random() < 0.5:
            adjuster = rear_rebound(entry).pk
            kind, url = "change", f"/bikes/{entry.pk}/change/{adjuster}/"
            start, by = chance.randint(11, 13), chance.choice((-1, 1))
            fields = {f"from_{adjuster}": start, "by": by, "how": "read_back"}
            about = {"entry": entry.pk, "adjuster": adjuster}
            fields["second_reason"] = "storm"
        else:
            kind, url, fields = "hold", f"/bikes/{entry.pk}/act/hold/", {"words": name}
            about = {"entry": entry.pk}
        act = {
            "id": name, "page": url, "words": name, "state": "unsent",
            "author": rough.person, "at": "2026-06-13T08:00:00Z", "offset": 0,
        }  # fmt: skip
        posted = {"act_id": name, **fields}
        if number % 3 == 0:
            act |= {"url": url, "fields": [[key, str(value)] for key, value in posted.items()]}
        else:
            payload = {key: str(value) for key, value in {**about, **fields}.items()}
            act |= {"kind": kind, "version": 1, "payload": payload, "files": {}}
            act["trackday"] = day.trackday.pk
        made.append(act)
    return made


@pytest.fixture
def roughs(day, cast, served, tmp_path, playwright) -> Iterator[list[Rough]]:
    found = []
    for n, who in enumerate((cast.tuner, cast.tuner, cast.helper)[:TABLETS]):
        folder = tmp_path / f"tablet-{n}"
        found.append(
            Rough(
                playwright, folder, served.port, who,
                lambda context, origin, n=n: enrol(context, origin, cast.tuner, f"tablet {n}"),
            )
        )  # fmt: skip
        device = devices.Device.objects.get(name=f"tablet {n}")
        found[-1].person["pass"] = devices.pass_make(user=who, device=device)
    yield found
    for rough in found:
        rough.context.close()
        rough.wire.close()


def trouble(rough: Rough, served, chance: random.Random) -> None:
    what = chance.choice(("cut", "lose", "break", "browser", "server", "nothing"))
    if what == "cut":
        rough.wire.cut()
    elif what == "lose":
        rough.wire.lose_answers(chance.randint(1, 3))
    elif what == "break":
        rough.wire.break_posts(chance.randint(1, 3))
    elif what == "browser":
        rough.kill()
        rough.open()
    elif what == "server":
        served.kill()
        served.start()
    rough.repeat(chance)


def test_nothing_is_lost_and_nothing_is_done_twice(roughs, day, cast, served, signed_in):
    chance = random.Random(20260613)
    for entry in day.entries:
        count(cast.tuner, entry, 12)
    for rough in roughs:
        rough.open()
    for _batch in range(ACTS // BATCH):
        for rough in roughs:
            rough.enter(acts_of(rough, day, chance, BATCH))
            trouble(rough, served, chance)
            chance.choice(roughs).wire.mend()
    for rough in roughs:
        rough.wire.mend()
        rough.wire.lose_answers(0)
        rough.wire.break_posts(0)
        rough.open()
    for rough in roughs:
        until(
            lambda rough=rough: rough.run(LEFT, STORE) == [],
            patience_s=300,
            found=lambda rough=rough: stands(rough, served),
        )
        rough.repeat(chance)  # what arrives again after the end changes nothing either
    each_once_and_in_order(roughs)
    the_book_is_its_log(day)
    what_found_no_place_is_shown(day, signed_in(cast.tuner))


def stands(rough: Rough, served) -> str:
    """What can be seen of a tablet that does not get rid of its acts."""
    log = (served.folder / "server.log").read_text()[-2000:]
    wire = {name: value for name, value in vars(rough.wire).items() if name != "heard"}
    return f"{rough.run(STANDS)}\n{wire}\nserver: {served.process.poll()} {log}"


def each_once_and_in_order(roughs: list[Rough]) -> None:
    assert Act.objects.count() == TABLETS * ACTS
    for n, rough in enumerate(roughs):
        arrived = Act.objects.filter(device__name=f"tablet {n}").order_by("device_seq")
        assert [str(act.pk) for act in arrived] == rough.entered
        assert [act.device_seq for act in arrived] == list(range(1, ACTS + 1))
    # Everything was filled in well: only what did not arrive as it was sent would be refused.
    assert list(Act.objects.filter(outcome="refused").values("kind", "payload", "answer")) == []
    holds = Act.objects.filter(kind="hold")
    assert Hold.objects.count() == holds.count()
    assert set(Hold.objects.values_list("pk", flat=True)) == set(holds.values_list("pk", flat=True))
    changes = Act.objects.filter(kind="change")
    assert changes.count() == Adjustment.objects.filter(kind="change").count()


def the_book_is_its_log(day) -> None:
    """Where each adjuster stands is what its changes give, replayed one by one."""
    for entry in day.entries:
        at, placed = Decimal(12), 0
        changes = Act.objects.filter(kind="change", trackday=day.trackday).order_by("revision")
        adjuster = rear_rebound(entry)
        for act in changes:
            move = act.payload["moves"][0]
            if int(move["adjuster"]) != adjuster.pk:
                continue
            fits = Decimal(str(move["from_position"])) == at
            row = Adjustment.objects.get(pk=act.pk)
            assert (row.state == RowState.PLACED) == fits, act.pk
            if fits:
                at, placed = Decimal(str(move["to_position"])), placed + 1
        newest = Adjustment.objects.filter(adjuster=adjuster, state=RowState.PLACED)
        assert newest.order_by("-seq").first().to_position == at
        assert newest.filter(kind="change").count() == placed


def what_found_no_place_is_shown(day, tuner: Client) -> None:
    seen = 0
    for entry in day.entries:
        unplaced = Adjustment.objects.filter(entry=entry, state=RowState.UNPLACED).count()
        page = tuner.get(f"/bikes/{entry.pk}/").content.decode()
        assert page.count("It was done: place it") == unplaced
        seen += unplaced
    assert seen > 0
