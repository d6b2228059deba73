"""The push test, and the viscosity of cold oil."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.setups.measures import Switch
from jobs.setups.reading_kinds import PUSH_TEST
from jobs.tuning import Refused, damping, oil, practice
from jobs.tuning.cooling import HOT_MINUTES
from jobs.tuning.damping import Damping, PushClass
from jobs.tuning.terms import OilState

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..drawings import push_trace
from ..inputs import Field, InputValues
from .sag import ENDS

GROUP = _("Damping")
TAKEN_HZ = 2.0  # common practice, no source
CLASSES = {
    PushClass.NO_RETURN: _("does not return"),
    PushClass.SLOW: _("slow return"),
    PushClass.QUICK: _("quick return"),
    PushClass.SETTLES: _("settles"),
    PushClass.ONE_OVERSHOOT: _("one overshoot, then settles"),
    PushClass.KEEPS_BOUNCING: _("keeps bouncing"),
}
STATES = (
    (OilState.HOT.value, _("hot")),
    (OilState.WARM.value, _("warm")),
    (OilState.COLD.value, _("cold")),
)
STATE_WORDS = dict(STATES)
WORDS = (
    ("", _("nobody said")),
    *((one.name, one.tap) for one in PUSH_TEST.measures if isinstance(one, Switch) and one.group),
)


def seen(given: InputValues) -> tuple[PushClass, Damping | None]:
    """The class, and an interval of damping ratio from the best thing that was observed."""
    drop, over = given.get("drop"), given.get("overshoot")
    swings, seconds, word = given.get("swings"), given.get("seconds"), given.text("comes_up")
    wanted = int(practice.target(f"passes_{given.text('end')}", given.figures.bands).high)
    if drop is not None and over is not None:
        found = damping.from_overshoot(
            drop_mm=drop, overshoot_mm=over, stiction_band_mm=given.get("stiction") or 0.0
        )
        passed = int(swings) if swings is not None else int(over > 0.05 * drop)
        kind = damping.as_seen(word=word, passes=passed, passes_wanted=wanted)
    else:
        counted, found = None if swings is None else int(swings), None
        kind = damping.as_seen(word=word, passes=counted, seconds=seconds, passes_wanted=wanted)
        # A word or a time says how it comes up. No damping ratio is shown for it: see ``damping``.
        said = word or seconds is not None
        if counted is not None and (counted or not said):
            found = damping.from_swings(swings=counted)
    if kind is None:
        raise Refused(
            gettext("Enter what was seen: a word, passes, seconds, or heights from a video.")
        )
    return kind, None if kind == PushClass.NO_RETURN else found


def natural_hz(given: InputValues) -> float:
    found = given.get("natural")
    return TAKEN_HZ if found is None else found


def cold_cautions(state: str) -> tuple[str, ...]:
    """Why a push test that was not hot does not set rebound: the oil's viscosity ratio."""
    if state == OilState.HOT:
        return ()
    ratio = oil.cold_to_hot()
    return (
        gettext(
            "The oil was %(state)s. A usual damper oil is %(low).1f to %(high).1f times as thick "
            "at %(cold)g as at %(hot)g °C: do not set rebound from this. Push it again hot, "
            "within %(minutes)d minutes of coming in."
        )
        % {
            "state": STATE_WORDS[state],
            "minutes": HOT_MINUTES,
            "low": ratio.low,
            "high": ratio.high,
            "cold": ratio.cold_c,
            "hot": ratio.hot_c,
        },
    )


def interval(found: Damping) -> str:
    if found.high is None:
        return gettext("%(low).2f or more") % {"low": found.low}
    return f"{found.low:.2f}–{found.high:.2f}"


def _push(given: InputValues) -> CalculatorAnswer:
    kind, found = seen(given)
    state = given.text("oil")
    lines = [
        AnswerLine(
            gettext("Push test"), str(CLASSES[kind]), "" if state == OilState.HOT else _cold(state)
        )
    ]
    picture = ""
    if found is not None:
        low, high = found.without_tyre_flex()
        wide = f"{low:.2f}–{high:.2f}" if high is not None else f"> {low:.2f}"
        lines += [
            AnswerLine(
                gettext("Apparent damping ratio"),
                interval(found),
                gettext("an interval, never a point"),
            ),
            AnswerLine(gettext("With the tyre taken out"), wide),
        ]
        ends = [found.low, found.high] if found.high is not None else [found.low]
        picture = push_trace(ends, natural_hz(given))
    return CalculatorAnswer(
        tuple(lines),
        assumptions=(
            *(found.assumptions if found else ()),
            gettext(
                "Two rules of the trade, neither of them right for every bike: settles in about a "
                "second; one overshoot, then settles. They are not the same damping."
            ),
        ),
        cautions=(
            *cold_cautions(state),
            *(found.cautions if found else ()),
        ),
        picture=picture,
    )


def _cold(state: str) -> str:
    return gettext("oil %(state)s: for the record only") % {"state": STATE_WORDS[state]}


PUSH = Calculator(
    slug="push",
    title=_("Push test"),
    asks=_("What did the push show, and how sure is that?"),
    group=GROUP,
    fields=(
        Field("oil", _("oil"), choices=STATES, default="hot"),
        Field("end", _("end"), choices=ENDS, default="front"),
        Field("comes_up", _("how it comes up"), choices=WORDS, needed=False),
        Field("swings", _("passes over the rest height"), needed=False,
              help=_("each pass beyond it counts one")),
        Field("seconds", _("time to return"), "time", needed=False),
        Field("drop", _("push, from the settled height"), "length", needed=False,
              help=_("from a phone video")),
        Field("overshoot", _("first overshoot above it"), "length", needed=False),
        Field("stiction", _("stiction band"), "length", needed=False,
              help=_("from the sag readings"), further=True),
        Field("natural", _("natural frequency, Hz"), needed=False,
              help=_("of this end without a rider; 2 is taken where it is not known"),
              further=True),
    ),
    compute=_push,
    formula=("ζ = −ln r / √(π² + ln² r),  r = (x₁ + f) / (x₀ − f),  f = S / 2",
             "n passes seen: e^(−nπζ/√(1−ζ²)) ≥ 5 %"),
    source=_("Rao, Mechanical Vibrations. The classes are common practice, no source."),
    crew=True,
)  # fmt: skip


def _oil(given: InputValues) -> CalculatorAnswer:
    ratio = oil.cold_to_hot(
        grade=given.text("grade"), index=given["index"], cold_c=given["cold"], hot_c=given["hot"]
    )
    shift = oil.damping_shift(viscosity_ratio=ratio.dynamic)
    return CalculatorAnswer(
        (
            AnswerLine(
                gettext("Thicker cold than hot"),
                gettext("%(ratio).1f times") % {"ratio": ratio.dynamic},
            ),
            AnswerLine(
                gettext("With grade and index in doubt"), f"{ratio.low:.1f}–{ratio.high:.1f}"
            ),
            AnswerLine(
                gettext("Damping cold over hot"),
                f"{shift.low:.1f}–{shift.high:.1f}",
                gettext("how much of it follows the oil is not known for this damper"),
            ),
        ),
        says=(shift.says,),
        assumptions=ratio.assumptions,
        cautions=(gettext("Never turn clickers by this figure. Measure again hot."),),
    )


OIL = Calculator(
    slug="oil",
    title=_("Cold oil"),
    asks=_("How much thicker is the damper oil cold?"),
    group=GROUP,
    fields=(
        Field("grade", _("ISO VG grade"), words=True, default="VG15",
              help=_("from the data sheet; 5W and the like say nothing")),
        Field("index", _("viscosity index"), default="150"),
        Field("cold", _("cold oil"), "temperature", default="8"),
        Field("hot", _("hot oil"), "temperature", default="45"),
    ),
    compute=_oil,
    formula=("log log (ν + 0.7) = A − B log T", "F_cold / F_hot = 1 − φ + φ η_cold / η_hot"),
    source=_("ASTM D341, ASTM D2270, ISO 3448; density by API MPMS 11.1, from memory."),
)  # fmt: skip
