from jobs.billing.models import Document
from jobs.billing.selectors.days import day_entries, day_money, handed_over
from jobs.billing.services.days import day_invoices_issue
from jobs.garage.models import Adjuster, Fitting
from jobs.people.models import Customer
from jobs.trackday.models import Entry
from jobs.worklist.models import Checklist, ChecklistItem, TaskMark
from tests.acts.doing import clock_set, do
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
        "INV-00001",
        "INV-00002",
        "INV-00003",
    ]


def test_one_invoice_per_bike_where_asked_for(prices, tuner):
    ada = customer_make("Ada Byrne")
    day = day_build(bikes=3, customers=[ada])
    result = day_invoices_issue(trackday=day.trackday, by=tuner, one_per_bike=True)
    assert [d.payable_minor for d in result.invoices] == [26000, 26000, 26000]


def test_a_bike_not_handed_over_gets_no_invoice_yet(day, tuner):
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


def _last_count(day):
    """The list of the end of a day that asks for the clickers."""
    checklist = Checklist.objects.create(code="hand-over", name="Hand-over")
    checklist.packages.add(day.package)
    return ChecklistItem.objects.create(
        checklist=checklist, code="last-count", text="Clickers against the record", minutes=4,
        kind="count", cadence="last", opens_from="stop", closes_from="close",
    )  # fmt: skip


def _count_all(entry, by):
    """On the bike sheet, when the day's last session is over."""
    clock_set(entry.trackday, local(17))
    ids = Adjuster.objects.filter(bike=entry.bike_id).values_list("pk", flat=True)
    counts = [{"adjuster": pk, "position": "10"} for pk in ids]
    done = do("count", by, entry.trackday, entry=entry.pk, counts=counts)
    assert done.outcome == "applied", done.answer


def test_a_last_count_entered_on_the_bike_sheet_hands_the_bike_over(day, tuner):
    _last_count(day)
    counted, other = day_entries(day.trackday)
    assert handed_over([counted, other]) == set()
    _count_all(counted, tuner)
    assert handed_over([counted, other]) == {counted.pk}
    result = day_invoices_issue(trackday=day.trackday, by=tuner)
    assert [(entry.pk, why) for entry, why in result.left_out] == [(other.pk, "hand-over not done")]
    assert [d.payable_minor for d in result.invoices] == [26000]


def test_a_bike_counted_and_gone_home_stays_handed_over(day, tuner):
    _last_count(day)
    entry = day_entries(day.trackday)[0]
    _count_all(entry, tuner)
    do("gone home", tuner, entry.trackday, entry=entry.pk)
    assert handed_over([entry]) == {entry.pk}


def test_a_count_before_the_last_outing_hands_nothing_over(day, tuner):
    _last_count(day)
    entry = day_entries(day.trackday)[0]
    clock_set(entry.trackday, local(8, 30))
    ids = Adjuster.objects.filter(bike=entry.bike_id).values_list("pk", flat=True)
    counts = [{"adjuster": pk, "position": "10"} for pk in ids]
    do("count", tuner, entry.trackday, entry=entry.pk, counts=counts)
    assert handed_over([entry]) == set()


def test_sixty_payers_need_as_many_queries_as_one(prices):
    counts = []
    for bikes in (1, 3, 60):
        day = day_build(bikes=bikes)
        with queries() as asked:
            assert len(day_money(day.trackday, places=2)) == bikes
        counts.append(len(asked))
    assert counts == [17, 17, 17]
    assert len(day_entries(day.trackday)) == Entry.objects.filter(trackday=day.trackday).count()
