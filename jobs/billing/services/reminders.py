"""Reminder letters, written in the customer's language and sent; each is kept."""

import datetime
from collections.abc import Collection, Iterable

from babel.dates import format_date
from django.core.exceptions import ValidationError
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from jobs.outbox.services import mail_enqueue
from jobs.people.dates import business_today
from jobs.people.letters import Letter, letter_written, sender_of
from jobs.people.models import Business, User
from jobs.people.selectors import business_get

from ..enums import ReminderLevel
from ..models import Document, Reminder, Terms
from ..money import Money
from ..selectors.document_page import written_locale
from ..selectors.prices import terms_get
from ..selectors.reminders import ReminderLetter, letter_about, letters
from .mail import link_to


def letters_written(found: Iterable[ReminderLetter], today: datetime.date) -> list[Letter]:
    """Each as it is sent. Two queries however many."""
    business, terms = business_get(), terms_get()
    return [_written(letter, today, business, terms) for letter in found]


def _written(
    letter: ReminderLetter, today: datetime.date, business: Business, terms: Terms
) -> Letter:
    """Dates and sums as the customer's language writes them."""
    language = letter.customer.language or business.language
    locale = written_locale(language, business.country)
    currency = letter.documents[0].currency
    own = {
        ReminderLevel.FIRST: terms.reminder_text,
        ReminderLevel.SECOND: terms.reminder_second,
        ReminderLevel.LAST: terms.reminder_last,
    }

    def day(value: datetime.date) -> str:
        return format_date(value, format="long", locale=locale)

    with translation.override(language):
        rows = [
            {
                "kind": document.get_kind_display(),
                "label": document.label,
                "issued_on": day(document.issued_on),
                "due_on": day(document.due_on),
                "open": Money(document.open, currency).text(locale),
                "reference": document.reference,
                "link": link_to(document),
            }
            for document in letter.documents
        ]
        context = {
            "level": letter.level,
            "rows": rows,
            "total": Money(letter.open_minor, currency).text(locale),
            "pay_by": day(today + datetime.timedelta(days=terms.reminder_days)),
            "own_words": own[letter.level],
            "business": business,
        }
        labels = ", ".join(document.label for document in letter.documents)
        subject = _("%(level)s: %(labels)s") % {"level": letter.level.label, "labels": labels}
        return letter_written(
            subject=subject[:200],
            to_name=letter.customer.name,
            body=render_to_string("billing/mail/reminder.txt", context),
            sender=sender_of(business),
        )


@transaction.atomic
def reminder_send(*, document: Document, by: User) -> Reminder:
    """Remind of one document, once it is overdue; again only after the days of the terms.

    So a button that is tapped twice sends one letter, not the first and the second.
    """
    document = Document.objects.select_for_update(no_key=True).get(pk=document.pk)
    letter = letter_about(document, business_today())
    if letter is None:
        raise ValidationError(_("Nothing is overdue on %(label)s.") % {"label": document.label})
    if letter.waits_until is not None:
        raise ValidationError(
            _("%(label)s was reminded of lately; the next letter goes out from %(day)s on.")
            % {"label": document.label, "day": date_format(letter.waits_until, "j F Y")}
        )
    return _send(letter, by)[0]


@transaction.atomic
def reminders_send(*, customer_ids: Collection[int], by: User) -> list[ReminderLetter]:
    """Send the letters to these customers; returns those that went out.

    Who was reminded within the days of the terms, or has no mail address, gets none. Two people
    who send at once are served one after the other, and the second finds nothing to send.
    """
    overdue = Document.objects.filter(customer__in=customer_ids, number__isnull=False)
    list(overdue.order_by("pk").select_for_update(no_key=True).values_list("pk"))
    sent = []
    for letter in letters(business_today()):
        asked = letter.customer.pk in customer_ids
        if asked and letter.to and letter.waits_until is None:
            _send(letter, by)
            sent.append(letter)
    return sent


def _send(letter: ReminderLetter, by: User) -> list[Reminder]:
    if not letter.to:
        raise ValidationError(_("%(name)s has no mail address.") % {"name": letter.customer.name})
    [written] = letters_written([letter], business_today())
    kept = [
        Reminder.objects.create(
            document=document, text=written.text, open_minor=document.open, by=by
        )
        for document in letter.documents
    ]
    mail_enqueue(
        to=letter.to,
        subject=written.subject,
        text=written.text,
        html=written.html,
        reply_to=written.reply_to,
        key=f"billing.reminder {kept[0].pk}",
    )
    return kept
