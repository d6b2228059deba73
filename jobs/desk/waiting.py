"""The desk's first page: what waits for the office, one line each, and the page that settles it.

Each line comes from the room that owns it; nothing is counted here a second time.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Document
from jobs.billing.selectors.bank import bank_waits
from jobs.billing.selectors.payments import OpenItem, open_items, unused_money
from jobs.billing.selectors.waiting import quotes_unanswered
from jobs.billing.templatetags.money import money
from jobs.outbox.selectors import jobs_given_up, mails_refused
from jobs.people.selectors import business_get
from jobs.setups.models import Adjustment
from jobs.setups.selectors import rows_unplaced

# Documents and changes of one kind that are named singly; of more, only how many there are.
NAMED = 3


@dataclass(frozen=True)
class Waiting:
    """``what`` waits, ``more`` about it, and what is done about it where ``page`` leads."""

    what: str
    more: str
    verb: str
    page: str


@dataclass(frozen=True)
class OfficeMoney:
    """Minor units: invoices that are not paid, and those of them that are overdue."""

    open_minor: int
    overdue_minor: int


def waiting_lines(today: date) -> tuple[list[Waiting], OfficeMoney]:
    """What waits, money first. A fixed number of queries."""
    items = open_items(today)
    deposits = [item for item in items if item.document.kind == DocumentKind.DEPOSIT_REQUEST]
    invoices = [item for item in items if item not in deposits and item.open_minor > 0]
    overdue = [item for item in invoices if item.is_overdue]
    lines = [
        *_overdue(overdue),
        *_deposits([item for item in deposits if item.open_minor > 0]),
        *_quotes(list(quotes_unanswered(today))),
        *_rest_of_money(),
        *_changes(list(rows_unplaced())),
        *_of_the_server(),
    ]
    return lines, OfficeMoney(_sum(invoices), _sum(overdue))


def _sum(items: Sequence[OpenItem]) -> int:
    return sum(item.open_minor for item in items)


def _in_words(minor: int) -> str:
    return money(minor, business_get().currency)


def _overdue(items: Sequence[OpenItem]) -> Iterator[Waiting]:
    if items:
        what = ngettext("%d invoice is overdue", "%d invoices are overdue", len(items))
        yield Waiting(
            what % len(items), _in_words(_sum(items)), _("Remind"), reverse("money:reminders")
        )


def _deposits(items: Sequence[OpenItem]) -> Iterator[Waiting]:
    if len(items) > NAMED:
        what = _("%d deposits are not paid") % len(items)
        page = reverse("money:home") + "#deposits"
        yield Waiting(what, _in_words(_sum(items)), _("Enter payments"), page)
        return
    for item in items:
        document = item.document
        what = _("Deposit not paid: %(name)s, %(number)s")
        due = document.due_on
        more = _in_words(item.open_minor)
        if due:
            more = _("%(sum)s, due %(day)s") % {"sum": more, "day": date_format(due, "j F")}
        yield Waiting(
            what % {"name": document.customer.name, "number": document.label},
            more,
            _("Enter a payment"),
            reverse("money:document", args=[document.pk]) + "#pay",
        )


def _quotes(quotes: Sequence[Document]) -> Iterator[Waiting]:
    if len(quotes) > NAMED:
        what = _("%d quotes have no answer") % len(quotes)
        worth = _in_words(sum(quote.total_minor for quote in quotes))
        yield Waiting(what, worth, _("See them"), reverse("money:home") + "#quotes")
        return
    for quote in quotes:
        what = _("Quote without an answer: %(name)s, %(number)s")
        yield Waiting(
            what % {"name": quote.customer.name, "number": quote.label},
            _in_words(quote.total_minor),
            _("Open"),
            reverse("money:document", args=[quote.pk]),
        )


def _rest_of_money() -> Iterator[Waiting]:
    home = reverse("money:home")
    drafts = list(Document.objects.filter(number__isnull=True))
    if drafts:
        what = ngettext("%d draft is not issued", "%d drafts are not issued", len(drafts))
        worth = _in_words(sum(draft.total_minor for draft in drafts))
        yield Waiting(what % len(drafts), worth, _("See them"), home + "#drafts")
    bank = bank_waits()
    if bank:
        what = _("Money from the bank that is not placed")
        yield Waiting(what, _in_words(bank), _("Place it"), reverse("money:bank"))
    unused = unused_money()
    if unused:
        names = len({one.customer.pk for one in unused})
        what = ngettext("%d customer has unused credit", "%d customers have unused credit", names)
        worth = _in_words(sum(one.minor for one in unused))
        yield Waiting(what % names, worth, _("See them"), home + "#unused")


def _changes(rows: Sequence[Adjustment]) -> Iterator[Waiting]:
    """Changes that were entered on a tablet and do not fit what was entered elsewhere."""
    entries = {row.entry.pk: row.entry for row in rows if row.entry is not None}
    for entry in list(entries.values())[:NAMED]:
        yield Waiting(
            _("%(number)s %(group)s: a change is not placed")
            % {"number": entry.number, "group": entry.group.letter},
            _("The customer's page does not show it until the tuner says where it belongs."),
            _("To the bike"),
            reverse("board:sheet", args=[entry.pk]),
        )
    if len(entries) > NAMED:
        more = len(entries) - NAMED
        what = ngettext(
            "%d more bike has a change that is not placed",
            "%d more bikes have a change that is not placed",
            more,
        )
        yield Waiting(what % more, "", _("To the day"), reverse("board:today"))


def _of_the_server() -> Iterator[Waiting]:
    letters = len(mails_refused())
    if letters:
        what = ngettext("%d mail did not go out", "%d mails did not go out", letters) % letters
        yield Waiting(what, "", _("Look at it"), reverse("desk:mails"))
    given_up = jobs_given_up().exclude(handler="outbox.mail").count()
    if given_up:
        what = ngettext(
            "%d piece of deferred work was given up.",
            "%d pieces of deferred work were given up.",
            given_up,
        )
        yield Waiting(what % given_up, "", _("Look at it"), reverse("desk:server"))


def day_lacks(day: Any) -> list[str]:
    """What a coming day of ``lists.trackdays`` still lacks, in words."""
    counts = {_("no timetable"): day.slots, _("no bikes"): day.bikes, _("no crew"): day.crew_days}
    return [words for words, n in counts.items() if not n]
