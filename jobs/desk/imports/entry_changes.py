"""One row of an entries file, and what it would change on the things it means."""

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from jobs.garage.models import Bike
from jobs.people.models import Customer, Rider
from jobs.trackday.models import Entry, RunGroup, ServicePackage

from .columns import UnreadableError
from .entries import EntryRow
from .known import KnownRecords
from .preview import ImportDifference, PreviewLine, Verb


@dataclass
class EntryPreviewLine(PreviewLine):
    """A row with everything it means found; what is None will be made."""

    row: EntryRow = field(default_factory=EntryRow)
    entry: Entry | None = None
    owner: Customer | None = None
    rider: Rider | None = None
    bike: Bike | None = None
    payer: Customer | None = None
    group: RunGroup | None = None
    package: ServicePackage | None = None
    changes: dict[str, dict[str, Any]] = field(default_factory=dict)

    @property
    def stays_off(self) -> bool:
        """The entry was cancelled or called off; a list that has it again does not undo that."""
        return self.entry is not None and bool(self.entry.absence)


# What a row says about each thing: our field, its word, the row's field.
SAYS = {
    "entry": (
        ("number", "number"), ("bay", "bay"), ("complaint", "complaint"), ("note", "note"),
        ("ref", "ref"),
    ),
    "bike": (
        ("make", "make"), ("model", "model"), ("year", "year"), ("colour", "colour"),
        ("frame_last4", "frame"),
    ),
    # The phone is for the call on the day: it is the rider's as well.
    "rider": (("phone", "phone"), ("weight_in_kit_kg", "weight_kg"), ("aim", "aim")),
    "owner": (
        ("email", "email"), ("phone", "phone"), ("street", "street"), ("postcode", "postcode"),
        ("city", "city"), ("country", "country"),
    ),
}  # fmt: skip


def compare(known: KnownRecords, line: EntryPreviewLine) -> None:
    """What would change on what exists. A cell the file leaves empty changes nothing."""
    for thing, said in SAYS.items():
        existing = getattr(line, thing)
        if existing is None:
            continue
        for name, column in said:
            says, has = getattr(line.row, column), getattr(existing, name)
            if says not in ("", None) and says != has:
                _change(line, thing, name, has, says)
    _check_email(known, line)
    if line.entry is None:
        return
    for name in ("group", "package", "rider", "bike", "payer"):
        has, says = getattr(line.entry, name), getattr(line, name)
        if says is None or says.pk != has.pk:
            becomes = says or _("%(name)s (new)") % {"name": _new_name(line.row, name)}
            line.changes.setdefault("entry", {})[name] = says
            line.differences.append(ImportDifference(name, str(has), str(becomes)))
    line.verb = Verb.CHANGED if line.differences else Verb.SAME


def _new_name(row: EntryRow, name: str) -> str:
    return {"rider": row.name, "bike": f"{row.make} {row.model}"}.get(
        name, row.payer or row.payer_email
    )


def _change(line: EntryPreviewLine, thing: str, name: str, has: Any, says: Any) -> None:
    line.changes.setdefault(thing, {})[name] = says
    line.differences.append(
        ImportDifference(name.replace("_", " "), str(has if has is not None else ""), str(says))
    )


def _check_email(known: KnownRecords, line: EntryPreviewLine) -> None:
    email = line.changes.get("owner", {}).get("email")
    other = known.by_email.get(email) if email else None
    if other is not None and line.owner is not None and other.pk != line.owner.pk:
        raise UnreadableError(
            _("This entry is %(owner)s's, but %(email)s belongs to %(other)s.")
            % {"owner": line.owner, "email": email, "other": other}
        )
