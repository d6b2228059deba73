"""Lap times: the pace of an outing, and whether the next one was truly quicker."""

import math

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import pace, practice

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..inputs import Field, InputValues, signed

YES_NO = (("yes", _("yes")), ("no", _("no")))


def clock(seconds: float) -> str:
    """1:42.8"""
    minutes, rest = divmod(round(seconds, 1), 60)
    return f"{int(minutes)}:{rest:04.1f}" if minutes else f"{rest:.1f}"


def pace_lines(outing: pace.OutingPace) -> tuple[AnswerLine, ...]:
    """Median, best and what was left out: the pace of one outing."""
    dropped = ", ".join(clock(s) for s in outing.dropped)
    lines = [
        AnswerLine(
            gettext("Clean median"), clock(outing.median_s), gettext("%(n)d laps") % {"n": outing.n}
        ),
        AnswerLine(gettext("Best"), clock(outing.best_s)),
    ]
    if dropped:
        lines.append(AnswerLine(gettext("Left out"), dropped, gettext("out, in, flagged or slow")))
    if outing.fast:
        fast = ", ".join(clock(s) for s in outing.fast)
        lines.append(
            AnswerLine(gettext("Surprisingly quick"), fast, gettext("kept; was it timed right?"))
        )
    return tuple(lines)


def _compute(given: InputValues) -> CalculatorAnswer:
    before = pace.outing_pace(laps=pace.parse_laps(given.text("before")))
    if not given.text("after"):
        return CalculatorAnswer(pace_lines(before))
    after = pace.outing_pace(laps=pace.parse_laps(given.text("after")))
    change = pace.pace_change(before=before, after=after)
    trigger = practice.target("pace_trigger", given.figures.bands)
    _reopen, says = pace.reopens(
        change=change,
        same_layout=given.text("layout") == "yes",
        same_wetness=given.text("wetness") == "yes",
        trigger_s=trigger.low,
    )
    first = AnswerLine(
        gettext("Change"),
        f"{signed(change.shift_s, 1)} s",
        gettext("%(low)s to %(high)s s; such a range holds the truth %(level).0f times in 100")
        % {
            "low": signed(change.low_s),
            "high": signed(change.high_s),
            "level": math.floor(100 * change.level),
        },
    )
    return CalculatorAnswer(
        (
            first,
            AnswerLine(
                gettext("Before"),
                clock(before.median_s),
                _reference(given, before),
            ),
            AnswerLine(
                gettext("After"),
                clock(after.median_s),
                gettext("%(n)d clean laps") % {"n": after.n},
            ),
            AnswerLine(
                gettext("Reopens a setup at"),
                f"{trigger.low:g} s",
                gettext("per business; no source"),
            ),
        ),
        says=(str(says),),
        assumptions=(gettext("Laps of one outing are alike but for traffic, which only slows."),),
    )


def _reference(given: InputValues, before: pace.OutingPace) -> str:
    laps = gettext("%(n)d clean laps") % {"n": before.n}
    return ", ".join(word for word in (given.text("reference"), laps) if word)


PACE = Calculator(
    slug="pace",
    title=_("Pace"),
    asks=_("Was the rider truly quicker?"),
    group=_("Rider and record"),
    fields=(
        Field("before", _("laps, the reference"), long=True,
              help=_("one to a line, 1:43.4; or a CSV with a heading")),
        Field("reference", _("which outing that was"), words=True, needed=False),
        Field("after", _("laps since"), long=True, needed=False),
        Field("layout", _("same layout"), choices=YES_NO, default="yes"),
        Field("wetness", _("both dry or both wet"), choices=YES_NO, default="yes"),
    ),
    compute=_compute,
    formula=("M = 0.6745 (x − median) / MAD,  slow laps above 3.5 dropped",
             _("change = median of all differences, exact Mann-Whitney interval")),
    source=_("Iglewicz and Hoaglin 1993; Hollander and Wolfe, Nonparametric Methods."),
)  # fmt: skip
