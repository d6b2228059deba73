from jobs.billing.models import Document
from jobs.billing.selectors.days import day_entries, day_money
from jobs.billing.services.days import day_invoices_issue
from jobs.garage.models import Fitting
from jobs.people.models import Customer
from jobs.trackday.models import Entry
from jobs.worklist.models import Checklist, ChecklistItem, TaskMark
from tests.days import day_build, local
from tests.queries import queries

from .conftest import customer_make


def test_everybody_gets_one_invoice_and_who_does_not_is_named(prices, tuner):
    ada, ben, cid = (customer_make(name) for name in ("Ada Byrne", "Ben Daly", "Cid Egan"))
    day = day_build(bikes=4, customers=[ada, ben, cid])
    Customer.objects.filter(pk=ben.pk).update(street="")
    Fitting.objects.create(
        bike=day.entries[2].bike, kind="tyre", name="Rear tyre", fitted_at=local(12)
    )
    result = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [(d.customer.name, d.payable_minor) for d in result.invoices] == [("Ada Byrne", 52000)]
    assert [(entry.payer.name, why) for entry, why in result.left_out] == [
        ("Ben Daly", "Ben Daly has no address"),
        ("Cid Egan", "Rear tyre has no price yet."),
    ]
    Customer.objects.filter(pk=ben.pk).update(street="1 Quay")
    Fitting.objects.update(price_minor=16000)
    again = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [d.customer.name for d in again.invoices] == ["Ben Daly", "Cid Egan"]
    assert again.left_out == []
    assert [d.label for d in Document.objects.order_by("number")] == [
        "R-00001",
        "R-00002",
        "R-00003",
    ]


def test_one_invoice_per_bike_as_wished(prices, tuner):
    ada = customer_make("Ada Byrne")
    day = day_build(bikes=3, customers=[ada])
    result = day_invoices_issue(trackday=day.trackday, by=tuner, one_per_bike=True)
    assert [d.payable_minor for d in result.invoices] == [26000, 26000, 26000]


def test_a_bike_not_handed_over_waits(day, tuner):
    checklist = Checklist.objects.create(code="hand-over", name="Hand-over")
    checklist.packages.add(day.package)
    item = ChecklistItem.objects.create(
        checklist=checklist,
        code="list",
        text="Before/after list given",
        minutes=3,
        cadence="last",
        opens_from="stop",
        closes_from="close",
    )
    result = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [why for _entry, why in result.left_out] == ["hand-over not done"] * 2
    TaskMark.objects.create(
        task_id="00000000-0000-0000-0000-000000000001",
        entry=day.entries[0],
        item=item,
        mark="done",
        by=tuner,
        done_at=local(17),
    )
    result = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [d.payable_minor for d in result.invoices] == [26000]
    assert [entry.pk for entry, _why in result.left_out] == [day.entries[1].pk]


def test_sixty_payers_ask_as_much_as_one(prices):
    counts = []
    for bikes in (1, 3, 60):
        day = day_build(bikes=bikes)
        with queries() as asked:
            assert len(day_money(day.trackday, places=2)) == bikes
        counts.append(len(asked))
    assert counts == [16, 16, 16]
    assert len(day_entries(day.trackday)) == Entry.objects.filter(trackday=day.trackday).count()
