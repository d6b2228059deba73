"""A finding's table as the form shows it: fields, conditions, and each fault at its place."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.forms import BoundField
from django.utils.translation import gettext as _

from jobs.tuning.knowledge import FACT_KINDS, Catalogue, FindingFault
from jobs.tuning.terms import End

from . import words
from .draft import CONDITIONS, ONE, Table, conditions_of
from .forms import PARTS, Fields, FindingFields

Faults = Mapping[str, str]
MISSING = "“{key}” is missing."
# Where a fault of the open form stands in the page, if not at a field of its own name.
FIELD_SHOWING = {"size": "low"}


@dataclass(frozen=True)
class FieldWithFault:
    """One field, with what is wrong in it."""

    field: BoundField
    fault: str = ""


@dataclass(frozen=True)
class StateChoice:
    value: str
    words: str
    chosen: bool


@dataclass(frozen=True)
class Term:
    """One fact of a condition; ``end`` None where it is of the whole bike."""

    name: str
    fact: str
    words: str
    end: str | None
    states: Sequence[StateChoice]


@dataclass(frozen=True)
class ConditionGroup:
    """The conditions of a part under one heading; each is a list of terms that all must hold."""

    name: str
    words: str
    each: Sequence[Sequence[Term]]
    one: bool
    fault: str


@dataclass(frozen=True)
class PartCard:
    """A suspect, a step or a stop."""

    name: str
    title: str
    fields: Mapping[str, FieldWithFault]
    conditions: Mapping[str, ConditionGroup]
    fault: str
    faulty: bool
    first: bool
    last: bool
    steps: Sequence[str] = ()  # of a suspect: its steps, in words
    when: str = ""  # of a step: whose it is and when it is offered


@dataclass(frozen=True)
class FaultLink:
    """One line of the list above the form, leading to its place."""

    at: str
    words: str


@dataclass(frozen=True)
class FindingForm:
    """The whole form."""

    fields: Mapping[str, FieldWithFault]
    parts: Mapping[str, Sequence[PartCard]]
    wrong: Sequence[FaultLink]


def form_page_of(
    table: Table, known: Catalogue, faults: Sequence[FindingFault] = ()
) -> FindingForm:
    """A table of the open form, right or wrong, as it is shown."""
    at: dict[str, str] = {}
    for fault in faults:
        at[_place(fault)] = " ".join(filter(None, (at.get(_place(fault)), _said(fault))))
    parts = {part: _cards(part, table, known, at) for part in PARTS}
    fields = _fields_with_faults(FindingFields(initial=FindingFields.initial_of(table)), at)
    wrong = [FaultLink(_place(fault), _listed(fault)) for fault in faults]
    return FindingForm(fields, parts, wrong)


def _place(fault: FindingFault) -> str:
    *rest, key = fault.at or ("title",)
    return "-".join(str(one) for one in (*rest, FIELD_SHOWING.get(str(key), key)))


def _said(fault: FindingFault) -> str:
    missing = getattr(fault.words, "template", "") == MISSING
    return _("This is missing.") if missing else str(fault.words)


def _listed(fault: FindingFault) -> str:
    """The fault with the names its place has in the form."""
    part, *where = fault.at or ("",)
    form: type[Fields] = PARTS.get(str(part), FindingFields)
    key = str(fault.at[-1]) if fault.at else ""
    field = form.base_fields.get(FIELD_SHOWING.get(key, key))
    named = [
        f"{words.PARTS[str(part)]} {where[0]}" if where else "",
        words.CONDITIONS.get((str(part), key)) or (field.label if field else ""),
    ]
    return f"{', '.join(str(name) for name in named if name)}: {_said(fault)}"


def _fields_with_faults(form: Fields, faults: Faults) -> dict[str, FieldWithFault]:
    found = {}
    for field in form:
        fault = faults.get(field.html_name, "")
        notes = [f"help-{field.html_name}"] if field.help_text else []
        notes += [f"fault-{field.html_name}"] if fault else []
        if notes and not field.use_fieldset:
            field.field.widget.attrs["aria-describedby"] = " ".join(notes)
        if fault and not field.use_fieldset:
            field.field.widget.attrs["aria-invalid"] = "true"
        found[field.name] = FieldWithFault(field, fault)
    return found


def _cards(part: str, table: Table, known: Catalogue, faults: Faults) -> list[PartCard]:
    rows = table.get(part, [])
    return [_card(part, n, row, len(rows), table, known, faults) for n, row in enumerate(rows, 1)]


def _card(
    part: str, n: int, row: Table, many: int, table: Table, known: Catalogue, faults: Faults
) -> PartCard:
    name, form = f"{part}-{n}", PARTS[part]
    more = {"suspects": table.get("suspects", [])} if part == "steps" else {}
    fields = form(initial=form.initial_of(row), prefix=name, **more)
    conditions = {key: _conditions(part, name, key, row, known, faults) for key in CONDITIONS[part]}
    said = words.step_said(row) if part == "steps" else row.get("text", "")
    return PartCard(
        name=name,
        title=f"{n}. {said or words.NEW[part]}",
        fields=_fields_with_faults(fields, faults),
        conditions=conditions,
        fault=faults.get(name, ""),
        faulty=any(place == name or place.startswith(f"{name}-") for place in faults),
        first=n == 1,
        last=n == many,
        steps=_steps_of(n, table) if part == "suspects" else (),
        when=_when(row, table, conditions["when"]) if part == "steps" else "",
    )


def _steps_of(order: int, table: Table) -> list[str]:
    steps = [step for step in table.get("steps", []) if step.get("suspect") == order]
    return [words.step_said(step) or str(words.NEW["steps"]) for step in steps]


def _when(step: Table, table: Table, of: ConditionGroup) -> str:
    """ "Spring rate or sag wrong; sag with the rider: too much"."""
    suspects = dict(enumerate(table.get("suspects", []), 1))
    suspect = suspects.get(step.get("suspect", 0), {}).get("text", "")
    terms = [
        f"{term.words}: {', '.join(state.words for state in term.states if state.chosen)}"
        for each in of.each
        for term in each
    ]
    return "; ".join(filter(None, [suspect, *terms]))


def _conditions(
    part: str, name: str, key: str, row: Table, known: Catalogue, faults: Faults
) -> ConditionGroup:
    here = f"{name}-{key}"
    texts = conditions_of(row, part, key)
    each = [
        [
            _term(f"{here}-{c}-{t}", term.split(), known)
            for t, term in enumerate(text.split(" and "), 1)
        ]
        for c, text in enumerate(texts, 1)
    ]
    heading = str(words.CONDITIONS[part, key])
    return ConditionGroup(here, heading, each, (part, key) in ONE, faults.get(here, ""))


def _term(name: str, said: list[str], known: Catalogue) -> Term:
    """A term as it is written, whether or not it can be read."""
    end = said.pop(0) if said and said[0] in set(End) else ""
    fact = said.pop(0) if said else ""
    chosen = [word for word in said if word != "or"]
    meaning = FACT_KINDS.get(fact)
    if fact == "also":
        choices = {code: f"{code} {row.title}" for code, row in known.findings.items()}
    else:
        choices = {state: str(label) for state, label in words.STATES.get(fact, {}).items()}
    choices |= {word: word for word in chosen if word not in choices}
    return Term(
        name=name,
        fact=fact,
        words=str(words.FACTS.get(fact, fact)),
        end=end if meaning is None or meaning.of_end else None,
        states=[StateChoice(value, label, value in chosen) for value, label in choices.items()],
    )
