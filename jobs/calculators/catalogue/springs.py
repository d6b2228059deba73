"""Rates at the wheel, the spring that is needed, and the rate of a coil."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import Refused, linkage, sag, springs
from jobs.tuning.terms import End

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..inputs import Field, InputValues, signed
from .sag import ENDS, linkage_given

GROUP = _("Springs and sag")
RAKE = Field("rake", _("rake"), "angle", help=_("from the vertical"))


def linkage_of(given: InputValues) -> linkage.Linkage:
    """The curve if one was pasted, else the constant motion ratio."""
    found = linkage_given(given)
    if found is None:
        raise Refused(gettext("The rear needs a motion ratio or a linkage curve."))
    return found


def _fork(given: InputValues) -> CalculatorAnswer:
    left, right = (
        springs.checked_rate(rate_n_per_mm=given[leg], end=End.FRONT, sure=given.sure)
        for leg in ("left", "right")
    )
    pair = springs.ForkPair(
        left, right, given.get("left_preload") or 0.0, given.get("right_preload") or 0.0
    )
    wheel = springs.fork_wheel_rate(pair_n_per_mm=pair.rate_n_per_mm, rake_deg=given["rake"])
    lines = [
        AnswerLine(gettext("At the wheel, vertical"), given.shown(wheel, "left", 2)),
        AnswerLine(gettext("The pair along the legs"), given.shown(pair.rate_n_per_mm, "left", 2)),
        AnswerLine(gettext("Preload of the pair"), f"{pair.preload_mm:.1f} mm"),
        AnswerLine(
            gettext("One leg's turn counts for"),
            f"{100 * pair.share_left:.0f} %",
            gettext("left leg alone; legs may be unequal"),
        ),
    ]
    if (mass := given.get("mass")) is not None:
        leg = springs.fork_leg_sag(
            wheel_force_n=sag.weight_n(mass_kg=mass),
            pair_n_per_mm=pair.rate_n_per_mm,
            preload_mm=pair.preload_mm,
            rake_deg=given["rake"],
        )
        lines.append(
            AnswerLine(
                gettext("Sag along the leg"), f"{leg:.1f} mm", gettext("no air, no stiction")
            )
        )
    return CalculatorAnswer(
        tuple(lines),
        assumptions=(gettext("Linear springs; the air in the fork is left out here."),),
    )


FORK_RATE = Calculator(
    slug="fork-rate",
    title=_("Fork springs"),
    asks=_("What do the two legs make at the wheel?"),
    group=GROUP,
    fields=(
        Field("left", _("left leg"), "rate"),
        Field("right", _("right leg"), "rate"),
        Field("left_preload", _("preload, left"), "length", needed=False, further=True),
        Field("right_preload", _("preload, right"), "length", needed=False, further=True),
        RAKE,
        Field("mass", _("sprung mass on the front wheel"), "mass", needed=False),
    ),
    compute=_fork,
    formula=("k = k_L + k_R", "k_wheel = k / cos²(rake)", "p = (k_L p_L + k_R p_R) / k",
             "x = F cos(rake) / k − p"),
    source=_("Statics; checked by the strain energy in sympy."),
)  # fmt: skip


def _shock(given: InputValues) -> CalculatorAnswer:
    curve = linkage_of(given)
    rate = springs.checked_rate(rate_n_per_mm=given["rate"], end=End.REAR, sure=given.sure)
    z, preload = given.get("z") or 0.0, given.get("preload") or 0.0
    wheel = springs.rear_wheel_rate(
        shock_n_per_mm=rate, linkage=curve, wheel_travel_mm=z, preload_mm=preload
    )
    lines = [
        AnswerLine(gettext("At the wheel, vertical"), given.shown(wheel, "rate", 2)),
        AnswerLine(gettext("Motion ratio there"), f"{curve.ratio(z):.3f}"),
    ]
    if (mass := given.get("mass")) is not None:
        there = springs.rear_equilibrium(
            wheel_force_n=sag.weight_n(mass_kg=mass),
            shock_n_per_mm=rate,
            linkage=curve,
            preload_mm=preload,
        )
        effect = sag.rear_preload_effect(
            preload_change_mm=1, linkage=curve, wheel_travel_mm=there, preload_mm=preload
        )
        lines += [
            AnswerLine(gettext("Sag under that mass"), f"{there:.1f} mm"),
            AnswerLine(
                gettext("1 mm of preload there"),
                f"{signed(effect.vertical_mm, 1)} mm",
                gettext("of wheel sag"),
            ),
        ]
    return CalculatorAnswer(
        tuple(lines), assumptions=(gettext("Linear spring; top-out spring left out."),)
    )


SHOCK_RATE = Calculator(
    slug="shock-rate",
    title=_("Shock spring"),
    asks=_("What does the shock make at the wheel, on a progressive linkage too?"),
    group=GROUP,
    fields=(
        Field("rate", _("shock spring"), "rate"),
        Field("ratio", _("motion ratio"), needed=False,
              help=_("shock over wheel, below 1; or the curve below")),
        Field("curve", _("linkage curve"), long=True, needed=False,
              help=_("wheel mm and shock mm, a pair to a line")),
        Field("preload", _("preload"), "length", needed=False),
        Field("z", _("wheel travel there"), "length", needed=False),
        Field("mass", _("sprung mass on the rear wheel"), "mass", needed=False),
    ),
    compute=_shock,
    formula=("k_wheel = k s′² + k (s + p) s″", "F = k (s(z) + p) s′(z)",
             "dz/dp = −s′ / (s′² + (s + p) s″)"),
    source=_("Statics of the linkage; checked by derivatives in sympy and a root find."),
)  # fmt: skip


def _needed(given: InputValues) -> CalculatorAnswer:
    values = {
        "bike_force_n": sag.weight_n(mass_kg=given["bike_mass"]),
        "rider_force_n": sag.weight_n(mass_kg=given["rider_mass"]),
    }
    free, rider = given["free"], given["rider"]
    if given.text("end") == End.FRONT:
        rake = given.get("rake")
        if rake is None:
            raise Refused(gettext("The front needs the rake."))
        need = springs.required_fork_rate(
            **values, free_leg_mm=free, rider_leg_mm=rider, rake_deg=rake
        )
        each = AnswerLine(gettext("Each of two equal legs"), f"{need.rate_n_per_mm / 2:.2f} N/mm")
        label = gettext("The pair")
    else:
        need = springs.required_rear_rate(
            **values, free_mm=free, rider_mm=rider, linkage=linkage_of(given)
        )
        each = AnswerLine(gettext("In kgf/mm"), f"{need.rate_n_per_mm / 9.80665:.2f} kgf/mm")
        label = gettext("The shock spring")
    return CalculatorAnswer(
        (
            AnswerLine(label, f"{need.rate_n_per_mm:.1f} N/mm"),
            each,
            AnswerLine(gettext("With preload"), f"{need.preload_mm:.1f} mm"),
        ),
        assumptions=need.assumptions,
        cautions=need.cautions,
    )


NEEDED = Calculator(
    slug="spring-needed",
    title=_("Which spring"),
    asks=_("Which spring gives both the free sag and the sag with rider?"),
    group=GROUP,
    fields=(
        Field("end", _("end"), choices=ENDS, default="front"),
        Field("bike_mass", _("sprung mass on this wheel, bike alone"), "mass"),
        Field("rider_mass", _("sprung mass on this wheel, with rider"), "mass"),
        Field("free", _("free sag wanted"), "length",
              help=_("front: along the leg; rear: at the wheel")),
        Field("rider", _("sag with rider wanted"), "length"),
        Field("rake", _("rake"), "angle", needed=False, help=_("front only")),
        Field("ratio", _("motion ratio"), needed=False, help=_("rear only")),
        Field("curve", _("linkage curve"), long=True, needed=False,
              help=_("rear: wheel mm and shock mm, a pair to a line")),
    ),
    compute=_needed,
    formula=("k = (F_rider − F_bike) cos(rake) / (x_rider − x_free)",
             "p = F_rider cos(rake) / k − x_rider"),
    source=_("Statics: two loads on one linear spring."),
)  # fmt: skip


def _coil(given: InputValues) -> CalculatorAnswer:
    mean = springs.mean_diameter(outside_mm=given["outside"], wire_mm=given["wire"])
    rate = springs.coil_rate(
        wire_mm=given["wire"],
        mean_diameter_mm=mean,
        active_coils=given["coils"],
        shear_modulus_gpa=given["modulus"],
    )
    return CalculatorAnswer(
        (
            AnswerLine(gettext("Rate"), f"{rate:.3g} N/mm"),
            AnswerLine(gettext("In kgf/mm"), f"{rate / 9.80665:.3g} kgf/mm"),
            AnswerLine(gettext("In lbf/in"), f"{rate / 0.175126835:.4g} lbf/in"),
            AnswerLine(
                gettext("Mean diameter"), f"{mean:.2f} mm", gettext("outside minus one wire")
            ),
        ),
        assumptions=(gettext("Round wire, even pitch; active coils leave out the closed ends."),),
        cautions=(
            gettext(
                "A fourth power: 1 % of wire is 4 % of rate. Measure on a bench if it matters."
            ),
        ),
    )


COIL = Calculator(
    slug="coil",
    title=_("Unmarked coil"),
    asks=_("What is the rate of a spring without a marking?"),
    group=GROUP,
    fields=(
        Field("wire", _("wire"), "length"),
        Field("outside", _("outside diameter"), "length", help=_("as a caliper reads it")),
        Field("coils", _("active coils")),
        Field("modulus", _("shear modulus"), "modulus", default="79.3",
              help=_("79.3 GPa for spring steel")),
    ),
    compute=_coil,
    formula=("k = G d⁴ / (8 D³ n)",),
    source=_("Shigley, Mechanical Engineering Design, helical compression springs."),
)  # fmt: skip
