"""How much a few counts prove, and units."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import Refused, evidence
from jobs.tuning.units import UNITS as ALL_UNITS
from jobs.tuning.units import convert, symbol_of, units_of

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..inputs import Field, InputValues

GROUP = _("Rider and record")
UNIT_CHOICES = tuple((name, symbol_of(name)) for name in ALL_UNITS if len(
    units_of(ALL_UNITS[name].quantity)) > 1)  # fmt: skip


def _evidence(given: InputValues) -> CalculatorAnswer:
    k, n = int(given["seen"]), int(given["judged"])
    if (k, n) != (given["seen"], given["judged"]):
        raise Refused(gettext("Counts are whole numbers."))
    score, bayes = evidence.wilson(k=k, n=n), evidence.jeffreys(k=k, n=n)
    few = n <= evidence.MOST_WITHOUT_EVIDENCE
    return CalculatorAnswer(
        (
            AnswerLine(
                gettext("True share"),
                f"{100 * score.low:.0f}–{100 * score.high:.0f} %",
                gettext("no evidence yet") if few else gettext("Wilson, 95 %"),
            ),
            AnswerLine(gettext("By Jeffreys"), f"{100 * bayes.low:.0f}–{100 * bayes.high:.0f} %"),
        ),
        assumptions=(gettext("Each judged change stands alone; confounded ones are left out."),),
    )


EVIDENCE = Calculator(
    slug="evidence",
    title=_("Evidence"),
    asks=_("Seen so often of so many: what does that prove?"),
    group=GROUP,
    fields=(
        Field("seen", _("seen as expected")),
        Field("judged", _("times judged"), help=_("without “not tested”")),
    ),
    compute=_evidence,
    formula=(_("Wilson's score interval"), "Beta(k + ½, n − k + ½)"),
    source=_("Newcombe 1998; Brown, Cai and DasGupta 2001."),
)


def _units(given: InputValues) -> CalculatorAnswer:
    unit = given.text("unit")
    quantity = ALL_UNITS[unit].quantity
    lines = tuple(
        AnswerLine(symbol_of(other), f"{convert(value=given['value'], unit=unit, to=other):.4g}")
        for other in units_of(quantity)
        if other != unit
    )
    return CalculatorAnswer(lines, assumptions=(gettext("Exact factors; NIST SP 811."),))


UNITS = Calculator(
    slug="units",
    title=_("Units"),
    asks=_("What is that in the other unit?"),
    group=GROUP,
    fields=(
        Field("value", _("value")),
        Field("unit", _("unit"), choices=UNIT_CHOICES, default="psi"),
    ),
    compute=_units,
    formula=(_("1.6 bar is 23.2 psi, not 24"),),
    source=_("NIST Special Publication 811, appendix B."),
)
