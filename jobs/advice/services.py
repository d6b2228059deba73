"""Writes of advice: overruled, answered, settled, and the business's own findings."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from jobs.outbox.daily import OnceADay
from jobs.people.enums import EditVerb
from jobs.people.models import User
from jobs.people.selectors import business_get
from jobs.people.services import edit_note
from jobs.setups.enums import SetupKind
from jobs.setups.origin import RowOrigin
from jobs.setups.services import kept_setup_keep
from jobs.trackday.models import Entry
from jobs.tuning import Refused
from jobs.tuning.knowledge import CatalogueFinding, finding_write

from . import selectors
from .models import Answered, KeptEvidence, Overrule, OwnFinding, Settlement
from .selectors import observations


def suggestion_overrule(
    *, origin: RowOrigin, code: str, end: str, function: str = "", direction: str = "", reason: str
) -> Overrule:
    """Silence one suggestion for that bike and day; the reason is kept."""
    if not reason.strip():
        raise ValidationError(_("Say in a word why not: it is kept with the bike."))
    return Overrule.objects.create(
        **origin.fields(), code=code, end=end, function=function, direction=direction, reason=reason
    )


def question_answer(*, origin: RowOrigin, code: str, suspect: int, yes: bool) -> Answered:
    """A suspect's question, answered by whoever looked or asked."""
    finding = selectors.catalogue().findings.get(code)
    if finding is None or not 1 <= suspect <= len(finding.suspects):
        raise ValidationError(_("There is no such question."))
    asked = selectors.asked_by(finding.suspect(suspect))
    return Answered.objects.create(
        **origin.fields(), code=code, suspect=suspect, asked=asked, yes=yes
    )


@transaction.atomic
def bike_settle(*, origin: RowOrigin, entry: Entry, note: str = "") -> Settlement:
    """Call a bike settled: its setup is kept, with pace and conditions as the reference.

    Refused while the rule of the method is not met, with what is missing.
    """
    basis = selectors.advice_basis_of(entry)
    found = selectors.settled_state_of(basis).now
    if not found.settled:
        raise ValidationError(
            _("Not settled yet: %(missing)s") % {"missing": " ".join(found.missing)}
        )
    weather = basis.conditions[-1] if basis.conditions else None
    kind = SetupKind.WET if weather and weather.wet else SetupKind.DRY
    kept = kept_setup_keep(
        origin=origin.further("kept"),
        bike=entry.bike,
        kind=kind,
        name=_("Settled %(day)s") % {"day": f"{entry.trackday.date:%d %b %Y}"},
        note=", ".join(found.because),
    )
    return Settlement.objects.create(
        **origin.fields(),
        bike=entry.bike,
        rider=entry.rider,
        kept=kept,
        because=[str(words) for words in found.because],
        laps=observations.laps_of(basis.session_readings),
        wet=weather.wet if weather else None,
        track_c=weather.track_c if weather else None,
        weight_kg=entry.rider.weight_in_kit_kg,
        note=note,
    )


@transaction.atomic
def own_finding_save(
    *, code: str, table: Mapping[str, Any], by: User, as_of: str | None = None
) -> OwnFinding:
    """Write a finding of the business's own, or its amendment of a shipped one.

    ``table`` is its open form; ``code`` empty: a new one, which is given the next free code.
    ``as_of`` is the stamp of what it was made from: a ValidationError with the code
    "overtaken" where somebody else has saved since. Misread where it cannot be used.
    """
    row = OwnFinding.objects.select_for_update(no_key=True).filter(code=code).first()
    if as_of is not None and as_of != (row.stamp if row else ""):
        raise _overtaken()
    finding = selectors.finding_of(code or selectors.code_free(), table)
    try:
        return _own_finding_write(finding, by=by, before=row)
    except IntegrityError as error:  # somebody took that code a moment ago
        if code:
            raise _overtaken() from error
        return own_finding_save(code="", table=table, by=by)


def _overtaken() -> ValidationError:
    return ValidationError(
        _(
            "It was changed by somebody else while it was open here. What you typed is "
            "below: save it again and it takes the place of theirs."
        ),
        code="overtaken",
    )


@transaction.atomic
def own_findings_import(*, text: str, by: User) -> list[OwnFinding]:
    """Write every finding of a text in the open form; nothing where one of them is refused."""
    try:
        findings = selectors.findings_read(text)
    except Refused as refused:
        raise ValidationError(refused.words) from refused
    rows = OwnFinding.objects.select_for_update(no_key=True).in_bulk(
        [finding.code for finding in findings], field_name="code"
    )
    try:
        return [_own_finding_write(f, by=by, before=rows.get(f.code)) for f in findings]
    except IntegrityError as error:
        raise _overtaken() from error


def _own_finding_write(
    finding: CatalogueFinding, *, by: User, before: OwnFinding | None
) -> OwnFinding:
    text, was = finding_write(finding), before.text if before else ""
    if before and text == was:
        return before
    row = before or OwnFinding(code=finding.code)
    row.text, row.by = text, by
    with transaction.atomic():
        row.save()
    verb = EditVerb.CHANGED if before else EditVerb.NEW
    _note(finding.code, finding.title, verb, by, was=was, becomes=text)
    return row


@transaction.atomic
def own_finding_drop(*, code: str, by: User) -> None:
    """Back to the shipped finding; one only of our own is gone. What it said stays noted."""
    for row in OwnFinding.objects.select_for_update(no_key=True).filter(code=code):
        _note(code, code, EditVerb.REMOVED, by, was=row.text, becomes="")
        row.delete()


def _note(code: str, title: str, verb: EditVerb, by: User, *, was: str, becomes: str) -> None:
    words = f"{code} {title}" if title != code else code
    changes = {"text": [was, becomes]}
    edit_note(by=by, verb=verb, what="own finding", title=words, ref=code, changes=changes)


COUNT = "advice.count_evidence"
BIKES_AT_ONCE = 50


_daily = OnceADay(COUNT)


def evidence_count_ask() -> None:
    """Ask once a day, where the business is, that new judgements are counted and kept."""
    _daily.ask(zone=lambda: business_get().timezone, needed=selectors.evidence_is_stale)


def evidence_keep() -> int:
    """Count the judged changes of each bike whose kept count does not hold; how many bikes.

    The stamp is taken before the count: what is written meanwhile makes it stale.
    """
    stale = selectors.kept_evidence().stale
    all_ = sorted(stale)
    for start in range(0, len(all_), BIKES_AT_ONCE):
        bikes = all_[start : start + BIKES_AT_ONCE]
        counted = selectors.judged_of_bikes(bikes)
        KeptEvidence.objects.bulk_create(
            [
                KeptEvidence(bike_id=bike, stamp=stale[bike], rows=selectors.as_json(rows))
                for bike, rows in counted.items()
            ],
            update_conflicts=True,
            unique_fields=["bike"],
            update_fields=["stamp", "rows"],
        )
    return len(stale)
