"""The fields of a finding, a suspect, a step and a stop.

Nothing is judged here: what was typed goes to the catalogue's own loader as it is, and
comes back with what the loader says of it.
"""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End, Function
from jobs.people.typed import whole_number
from jobs.setups.enums import Phase
from jobs.tuning.knowledge import shipped

from . import words

ENDS = [
    ("", "---------"),
    ("front", _("Front")),
    ("rear", _("Rear")),
    ("front rear", _("Front or rear, whichever it is seen on")),
    ("both", _("The whole bike")),
]
OF_THE_FINDING = [("", _("where the finding is seen")), *End.choices]


def _text_field(label: Any, *, rows: int = 0, help_text: Any = "") -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _choice_field(label: Any, choices: Any, help_text: Any = "") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, required=False, help_text=help_text)


def _multiple_choice_field(
    label: Any, choices: Any, help_text: Any = ""
) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label, choices=choices, required=False, help_text=help_text,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip


def _with_none(choices: Iterable[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    return [("", "---------"), *choices]


class Fields(forms.Form):
    """A part of a finding as the open form holds it; ``table`` and ``initial_of`` translate."""

    use_required_attribute = False

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, auto_id="at-%s", **kwargs)

    @classmethod
    def initial_of(cls, table: dict[str, Any]) -> dict[str, Any]:
        return dict(table)

    def table(self) -> dict[str, Any]:
        """What was entered, as it was entered."""
        found = {name: self._entered(name) for name in self.fields}
        return {name: value for name, value in found.items() if value not in ("", [], None, False)}

    def _entered(self, name: str) -> Any:
        value = self[name].data
        return value.replace("\r\n", "\n").strip() if isinstance(value, str) else value


class FindingFields(Fields):
    title = _text_field(_("What it is called"))
    family = _choice_field(
        _("Where it is met"), words.families,
        _("In three taps it stands there: on the tyre, at the push test, at the ring, or "
          "with the part of the corner."),
    )  # fmt: skip
    ends = _choice_field(_("Which end"), ENDS)
    phases = _multiple_choice_field(
        _("Part of the corner"), Phase.choices, _("For what the rider says. None: anywhere.")
    )
    see = _text_field(_("What is seen, felt or said"), rows=2)
    check = _text_field(_("What to check"), rows=2)
    step = _text_field(_("What to do, in words"), rows=2)
    next = _text_field(
        _("What to watch: what should be seen next time"), rows=2,
        help_text=_("It is offered as the expectation of a change, and judged after the outing."),
    )  # fmt: skip
    worse = _text_field(_("What makes it worse"), rows=2)
    stop = _text_field(_("When to stop, in words"), rows=2)
    source_note = _text_field(
        _("Source, in words"), rows=2, help_text=_("Nothing written or ticked: common practice.")
    )
    sources = _multiple_choice_field(_("Published sources"), lambda: shipped().sources.items())
    disagreement = _text_field(_("Where sources disagree"), rows=2)

    @classmethod
    def initial_of(cls, table: dict[str, Any]) -> dict[str, Any]:
        return {**table, "ends": " ".join(table.get("ends", []))}

    def table(self) -> dict[str, Any]:
        found = super().table()
        return {**found, "ends": found["ends"].split()} if "ends" in found else found


class SuspectFields(Fields):
    text = _text_field(_("What it could be"))
    kinds = _multiple_choice_field(
        _("Kind"), list(words.KINDS.items()),
        _("Mechanical: its check comes with the offer to hold the bike."),
    )  # fmt: skip
    ask = _text_field(_("A question whose yes speaks for it, whose no against it"), rows=2)
    check = _text_field(_("The check to make by hand"), rows=2)
    say = _text_field(_("Words for the rider"), rows=2)
    do = _text_field(_("What to do about it that is no adjuster"), rows=2)
    word_first = forms.BooleanField(
        label=_("First a word to the rider: no change before the question was answered with no"),
        required=False,
    )


class StepFields(Fields):
    suspect = _choice_field(_("For which suspect"), [])
    function = _choice_field(_("Adjuster"), _with_none(Function.choices))
    end = _choice_field(_("At which end"), OF_THE_FINDING)
    direction = _choice_field(
        _("Which way"), _with_none(words.DIRECTIONS.items()),
        _("More or less: of a height, a length, a level or a pressure."),
    )  # fmt: skip
    share = _text_field(
        _("Percent of the counted range"),
        help_text=_("For clicks: then From is the least and To the most. Empty: From to To."),
    )
    low = _text_field(_("From"))
    high = _text_field(_("To"))
    unit = _choice_field(_("Unit"), lambda: _with_none(words.units()))
    expect = _multiple_choice_field(_("What should move, to be read again"), words.expectations)
    after = _multiple_choice_field(_("Only where these suspects are ruled out"), [])
    instead_of = _multiple_choice_field(
        _("Only where none of these can be set or may be touched"), words.places
    )

    def __init__(
        self, data: QueryDict | None = None, *, suspects: list[dict[str, Any]], **kwargs: Any
    ) -> None:
        super().__init__(data, **kwargs)
        named = [(str(n), f"{n}. {one.get('text', '')}") for n, one in enumerate(suspects, 1)]
        for name, choices in (("suspect", _with_none(named)), ("after", named)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices
        for name in ("low", "high"):
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    @classmethod
    def initial_of(cls, table: dict[str, Any]) -> dict[str, Any]:
        low, high = table.get("size", ("", ""))
        return {**table, "low": low, "high": high}

    def table(self) -> dict[str, Any]:
        found = super().table()
        low, high = found.pop("low", ""), found.pop("high", "")
        if low or high:
            found["size"] = [low or high, high or low]
        for name, numbers in (("suspect", _number), ("after", _numbers)):
            if name in found:
                found[name] = numbers(found[name])
        return found


class StopFields(Fields):
    text = _text_field(_("What stops the bike"))
    action = _choice_field(_("What then"), _with_none(words.ACTIONS.items()))


def _number(text: str) -> int | str:
    number = whole_number(text)
    return text if number is None else number


def _numbers(texts: list[str]) -> list[int | str]:
    return [_number(text) for text in texts]


PARTS: dict[str, type[Fields]] = {
    "suspects": SuspectFields,
    "steps": StepFields,
    "stops": StopFields,
}
