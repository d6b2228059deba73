"""A customer's days on which a marked word is written wherever anybody can write one.

Everything goes through the doors people use: acts, forms of the desk, an imported file,
a photo, the API, the mail. The mark fits into the shortest columns (four characters), and no
hexadecimal number holds it.
"""

import json
import uuid
from datetime import date
from decimal import Decimal
from smtplib import SMTPRecipientsRefused
from unittest import mock

from django.core.mail import EmailMessage
from django.db import connection
from django.urls import reverse

from jobs.acts.models import Act
from jobs.acts.registry import KINDS, personal_fields
from jobs.billing.enums import FileKind, PriceKind
from jobs.billing.models import BankLine, Charge, Document, Payment, PriceItem, TaxRate
from jobs.billing.services import reminders
from jobs.billing.services.issue import document_issue
from jobs.files.services import photo_hold
from jobs.garage.models import Adjuster, Bike
from jobs.outbox import worker
from jobs.outbox.models import Job
from jobs.people.models import Business, Customer, Rider
from jobs.setups.models import Adjustment, Expectation
from jobs.trackday.models import Entry
from jobs.worklist.models import Hold
from jobs.worklist.services import checklists_load
from tests.acts.doing import do, item, tick
from tests.advice.story import Story
from tests.board.test_photos import upload
from tests.photos import photo_kept
from tests.shape.source import ROOT

MARK = "Qxzj"
EMAIL = "qxzj@example.org"
OLD_EMAIL = "qxzj.old@example.org"


def found_in_the_database() -> dict[str, set[str]]:
    """Where the mark stands: by table, the columns. Every column of every table is read."""
    found: dict[str, set[str]] = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            names = [column[0] for column in cursor.description]
            for row in cursor.fetchall():
                for name, value in zip(names, row, strict=True):
                    if MARK.lower() in _text(value).lower():
                        found.setdefault(table, set()).add(name)
    return found


def _text(value: object) -> str:
    return bytes(value).decode("latin-1") if isinstance(value, bytes | memoryview) else str(value)


class MarkedStory(Story):
    """Story's one bike, whose customer and rider bear the mark; nobody else does."""

    def __init__(self, cast, signed_in) -> None:
        checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
        super().__init__(cast)
        self.cast, self.desk = cast, signed_in(cast.tuner)
        self.customer: Customer = self.entry.payer
        self.other: Entry = _other_entry(self.entry)

    def day_at_the_track(self) -> None:
        self.before_the_first_session()
        self.settles()
        self.is_changed()
        self.is_held()
        self.has_its_tasks_done()
        self.changes_hands()
        self.is_refused()

    def before_the_first_session(self) -> None:
        trackday = self.trackday
        self.act("delay", trackday=trackday.pk, minutes=5, reason=f"{MARK} fell", entry=None)
        self.act("finding", words=f"{MARK} says it kicks", corner=MARK, place=MARK, by_rider=True)
        self.act("reading", kind="travel", end="front", note=f"{MARK} on board",
                 values=[{"name": "used", "value": "90", "unit": "mm"}])  # fmt: skip
        self.act("reading", kind="push", end="front", oil="warm", oil_reason=f"{MARK} rode here",
                 values=[{"name": "right", "on": True}])  # fmt: skip
        self.act("keep", kind="own", name=f"{MARK} wet", note=MARK)
        for state in ("broken", "mended", "proven"):
            self.act("adjuster", adjuster=self.rebound.pk, state=state, words=f"{MARK} felt it")
        other = self.entry.bike.adjusters.exclude(pk=self.rebound.pk).first()
        self.act("adjuster", adjuster=other.pk, state="broken", words=f"{MARK} felt it")
        photo = photo_kept(photo_id=uuid.uuid4(), upload=upload())
        self.act("photo", photo=str(photo.pk), subject="tyre", end="front", place=MARK, words=MARK)
        held, _is_new = photo_hold(photo_id=uuid.uuid4(), upload=upload())  # no worker takes it up
        self.act("photo", photo=str(held.pk), subject="bike")

    def settles(self) -> None:
        for number in (1, 2):
            self.came_in(number)
            for end in ("front", "rear"):
                self.found("clean", end=end)
                self.read("travel", end, "mm", used=90)
            self.found("content", end="")
            self.laps(100)
        self.act("settle", note=f"{MARK} is happy")

    def is_changed(self) -> None:
        self.act("order", moves=[self.move(10, 8)], reason=MARK, step_reason=MARK,
                 second_reason=MARK, expectation=f"{MARK} feels it", condition=MARK)  # fmt: skip
        changed = self.act("change", moves=[self.move(10, 8)], reason=f"{MARK} asked",
                           second_reason=MARK, step_reason=MARK, oil="hot", oil_reason=MARK,
                           expectation=f"{MARK} feels it", condition=MARK)  # fmt: skip
        row = Adjustment.objects.get(pk=changed.pk)
        self.act("count", counts=[{"adjuster": self.rebound.pk, "position": "7"}],
                 turned_by=MARK, reason=f"{MARK} turned it")  # fmt: skip
        expected = Expectation.objects.get(adjustment=row)
        self.act("judgement", expectation=str(expected.pk), verdict="seen", words=f"{MARK} did")
        self.act("change", moves=[self.move(7, 8)], reason="taken back", expectation=MARK)
        self.act("withdraw", row=str(Act.objects.filter(kind="change").latest("received_at").pk))
        self.act("overrule", code="R1", end="rear", reason=f"{MARK} does not want it")

    def is_held(self) -> None:
        url = reverse("board:do", args=[self.trackday.pk])
        self.hold_form = {"act_id": str(uuid.uuid4()), "kind": "hold", "entry": self.entry.pk,
                          "words": f"{MARK} saw oil"}  # fmt: skip
        self.desk.post(url, {**self.hold_form, "photo": upload()})
        hold = Hold.objects.get(pk=self.hold_form["act_id"])
        self.act("release", hold=str(hold.pk), reason=f"{MARK} wiped it")
        self.act("crash", words=f"{MARK} fell")

    def has_its_tasks_done(self) -> None:
        tuner = self.cast.tuner
        said = [{"words": f"{MARK} said so", "corner": MARK}]
        done = tick("identify", tuner, self.entry, words=f"{MARK} is here", said=said)
        assert done.outcome == "applied", done.answer
        self.act("skip", item=item(self.trackday, "noted").pk, reason=f"{MARK} in a hurry")

    def changes_hands(self) -> None:
        """Another rides it; he rides another's bike; rows are entered on the wrong bike."""
        self.act("rider on bike", name=f"{MARK} brother", phone=MARK)
        self.act("rider on bike", entry=self.other.pk, rider=self.entry.rider_id)
        self.act("rider on bike", entry=self.other.pk, rider=self.other.rider_id)
        third = Entry.objects.get(trackday=self.trackday, number="3")
        wrong = self.act("finding", entry=third.pk, words=f"{MARK} it was")
        self.act("move", rows=[str(wrong.pk)], to=self.entry.pk)
        self.act("finding", words="nobody's words", entry=third.pk)

    def is_refused(self) -> None:
        """Acts the door refused: kept, with whatever was typed."""
        for kind in sorted(KINDS):
            do(kind, self.cast.tuner, self.trackday, **dict.fromkeys(personal_fields(kind), MARK))
        do("finding", self.cast.tuner, self.trackday, entry=MARK, words=MARK)
        acts = [{"id": str(uuid.uuid4()), "kind": MARK, "payload": {"said": MARK}},
                {"id": str(uuid.uuid4()), "kind": "hold", "payload": {"entry": self.entry.pk,
                 MARK: MARK, "words": MARK}}]  # fmt: skip
        self.desk.post(
            reverse("api:acts"), json.dumps({"acts": acts}), content_type="application/json"
        )

    def in_the_office(self) -> None:
        self.customer_is_edited()
        self.entry_is_edited()
        self.entries_are_imported()
        self.is_billed()

    def customer_is_edited(self) -> None:
        words = dict.fromkeys(
            ("name", "phone", "street", "postcode", "city", "tax_id", "tax_reason", "note"), MARK
        )
        edit = reverse("desk:customer-edit", args=[self.customer.pk])
        for email in (OLD_EMAIL, EMAIL):
            self.desk.post(edit, {**words, "email": email, "country": "FO", "language": "en"})
            link = reverse("desk:customer-link", args=[self.customer.pk])
            self.desk.post(link, {"send_id": str(uuid.uuid4())})
        rider = {"name": MARK, "phone": MARK, "aim": MARK, "weight_in_kit_kg": "81.5"}
        self.desk.post(reverse("desk:rider-edit", args=[self.riders[0].pk]), rider)

    def entry_is_edited(self) -> None:
        entry = self.entry
        fields = {"entry-group": entry.group_id, "entry-package": entry.package_id,
                  "entry-payer": entry.payer_id, "bike-make": "Corrib", "bike-model": "R1",
                  "bike-frame_last4": MARK, "rider-weight_in_kit_kg": "81.5"}  # fmt: skip
        for name in ("entry-number", "entry-bay", "entry-complaint", "entry-note", "entry-ref",
                     "bike-colour", "bike-note", "rider-name", "rider-phone",
                     "rider-aim"):  # fmt: skip
            fields[name] = MARK
        answer = self.desk.post(reverse("desk:entry-edit", args=[entry.pk]), fields)
        assert answer.status_code == 302, answer.content.decode()
        new = {"group": self.other.group.letter, "number": "77", "name": f"{MARK} friend",
               "make": "Corrib", "model": "R7", "package": "full-day", "owner": MARK,
               "email": EMAIL}  # fmt: skip
        answer = self.desk.post(reverse("desk:entry-new", args=[self.trackday.pk]), new)
        assert answer.status_code == 302, answer.content.decode()

    def entries_are_imported(self) -> None:
        text = (
            f"group;name;number;make;model;email;complaint\nC;{MARK};78;Corrib;R8;{EMAIL};{MARK}\n"
        )
        url = reverse("desk:import-entries", args=[self.trackday.pk])
        form = {"text": text, "package": self.entry.package_id}
        seen = self.desk.post(url, form).context["preview"].fingerprint
        assert self.desk.post(url, {**form, "seen": seen}).status_code == 302

    def is_billed(self) -> None:
        discount = _prices(self.entry)
        desk, entry = self.desk, self.entry
        added = {"id": str(uuid.uuid4()), "description": f"{MARK} lever", "price": "12"}
        desk.post(reverse("money:charge-add", args=[entry.pk]), added)
        hand = Charge.objects.get(pk=added["id"])
        waived = {"key": hand.key, "why": f"{MARK} is a friend"}
        desk.post(reverse("money:charge-overrule", args=[entry.pk]), waived)
        for words, more in ((f"{MARK} cable", {"price": "9"}), (f"for {MARK}", {"item": discount})):
            more |= {"id": str(uuid.uuid4()), "description": words}
            desk.post(reverse("money:charge-add", args=[entry.pk]), more)
        draft = reverse("money:draft", args=[self.trackday.pk])
        for kind in ("quote", "invoice"):
            desk.post(draft, {"entry": [entry.pk], "kind": kind})
            document_issue(document=Document.objects.latest("pk"), by=self.cast.tuner)
        quote, invoice = Document.objects.get(kind="quote"), Document.objects.get(kind="invoice")
        desk.post(reverse("money:accept", args=[quote.pk]), {"name": f"{MARK} signed"})
        with mock.patch.object(reminders, "business_today", return_value=date(2036, 1, 1)):
            desk.post(reverse("money:remind", args=[invoice.pk]))
        pay = {"kind": "payment", "note": f"{MARK} in cash", "method": "cash"}
        desk.post(reverse("money:pay", args=[invoice.pk]), {**pay, "id": str(uuid.uuid4())})
        wrong = Payment.objects.get()
        desk.post(reverse("money:payment-withdraw", args=[wrong.pk]), {"why": f"not {MARK}"})
        desk.post(reverse("money:pay", args=[invoice.pk]), {**pay, "id": str(uuid.uuid4())})
        credit = {"whole": "", "reason": f"{MARK} did not like it"}
        desk.post(reverse("money:credit", args=[invoice.pk]), credit)
        note = Document.objects.get(kind="credit")
        refund = {**pay, "kind": "refund", "id": str(uuid.uuid4())}
        desk.post(reverse("money:pay", args=[note.pk]), refund)
        desk.post(draft, {"entry": [entry.pk], "kind": "quote"})
        self.pays_by_the_bank()

    def pays_by_the_bank(self) -> None:
        """A list of the bank: one sum is placed on the customer's account, one set aside."""
        text = (
            "date;amount;name;text;reference;iban\n"
            f"2026-06-15;1;{MARK};for {MARK};{MARK} 7;{MARK} 9\n2026-06-16;2;;by {MARK};;{MARK}9\n"
        )
        url = reverse("money:bank")
        seen = self.desk.post(url, {"text": text}).context["fingerprint"]
        assert self.desk.post(url, {"text": text, "seen": seen}).status_code == 302
        placed, aside = BankLine.objects.order_by("pk")
        where = reverse("money:bank-place", args=[placed.pk])
        self.desk.post(where, {"where": MARK})
        why = reverse("money:bank-aside", args=[aside.pk])
        self.desk.post(why, {"why": f"{MARK} gave it back"})
        assert BankLine.objects.exclude(payment=None).count() == 1
        assert BankLine.objects.exclude(aside_at=None).count() == 1

    def is_written_to(self) -> None:
        """The documents' open files are made; the mail server knows none of the addresses."""
        Job.objects.filter(payload__kind=FileKind.PDF).delete()  # slow, and compressed
        with mock.patch.object(EmailMessage, "send", _unknown):
            worker.drain()

    @property
    def rebound(self) -> Adjuster:
        return Adjuster.objects.get(bike=self.entry.bike_id, end="rear", function="rebound")

    @property
    def riders(self) -> list[Rider]:
        return list(self.customer.riders.order_by("pk"))

    def move(self, from_: int, to: int) -> dict[str, object]:
        return {"adjuster": self.rebound.pk, "from_position": str(from_), "to_position": str(to)}


def _other_entry(first: Entry) -> Entry:
    """Two more bikes of other customers on the same day; the first of them."""
    entries = []
    for number in ("2", "3"):
        owner = Customer.objects.create(name=f"Somebody {number}", email=f"b{number}@example.org")
        bike = Bike.objects.create(owner=owner, make="Halden", model=f"T{number}")
        entries.append(
            Entry.objects.create(
                trackday=first.trackday,
                group=first.group,
                bike=bike,
                payer=owner,
                number=number,
                rider=Rider.objects.create(customer=owner, name=owner.name),
                package=first.package,
            )
        )
    return entries[0]


def _unknown(message: EmailMessage) -> None:
    raise SMTPRecipientsRefused(dict.fromkeys(message.to, (550, b"unknown")))


def _prices(entry: Entry) -> int:
    Business.objects.filter(pk=1).update(
        street="Unit 4", postcode="D99 X001", city="Ballyreen", country="IE", tax_id="IE6388047V",
        iban="DE89370400440532013000", currency="EUR",
    )  # fmt: skip
    TaxRate.objects.create(
        code="standard", name="VAT", percent=Decimal(23), valid_from=date(2020, 1, 1)
    )
    PriceItem.objects.create(
        code="full-day", name="Full day", kind=PriceKind.PACKAGE, price=260, package=entry.package
    )
    loyal = PriceItem.objects.create(
        code="loyal", name="Loyal", kind=PriceKind.DISCOUNT, percent=Decimal(10)
    )
    return loyal.pk
