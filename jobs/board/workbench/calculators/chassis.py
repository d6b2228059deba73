"""Geometry, travel, braking and ride frequency."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import geometry, load, practice
from jobs.tuning.units import STANDARD_GRAVITY

from ..answers import Answer, Calculator, Line
from ..inputs import Field, Given, signed
from ..pictures import steering
from ..say import say

GROUP = _("Chassis")


def _geometry(given: Given) -> Answer:
    chassis = geometry.Chassis(
        rake_deg=given["rake"],
        offset_mm=given["offset"],
        wheelbase_mm=given["wheelbase"],
        front_radius_mm=given["front_radius"],
        rear_radius_mm=given["rear_radius"],
    )
    moved = geometry.change(
        chassis=chassis,
        tubes_through_mm=given.get("tubes") or 0.0,
        front_leg_sag_mm=given.get("front_sag") or 0.0,
        rear_vertical_mm=-(given.get("rear_up") or 0.0),
    )
    return Answer(
        (
            Line(gettext("Trail"), f"{signed(moved.trail_change_mm)} mm"),
            Line(gettext("Rake"), f"{signed(moved.rake_change_deg, 2)}°"),
            Line(gettext("Trail at a right angle"), f"{signed(moved.normal_trail_change_mm)} mm"),
            Line(gettext("Wheelbase"), f"{signed(moved.wheelbase_change_mm)} mm"),
            Line(
                gettext("Trail then"),
                f"{moved.trail_mm:.0f} mm",
                gettext("weak: good to about %(mm)g mm") % {"mm": moved.trail_uncertainty_mm},
            ),
        ),
        assumptions=moved.assumptions,
        cautions=moved.cautions,
        picture=steering(chassis, moved),
    )


GEOMETRY = Calculator(
    slug="geometry",
    title=_("Geometry"),
    asks=_("What does a change of fork or ride height do to rake and trail?"),
    group=GROUP,
    fields=(
        Field("rake", _("rake"), "angle", default="24", help=_("from the vertical")),
        Field("offset", _("fork offset"), "length", default="30"),
        Field("wheelbase", _("wheelbase"), "length", default="1400"),
        Field("front_radius", _("front wheel radius"), "length", default="300",
              help=_("half the height of the loaded tyre")),
        Field("rear_radius", _("rear wheel radius"), "length", default="320"),
        Field("tubes", _("fork tubes up through the clamps"), "length", needed=False,
              default="5"),
        Field("front_sag", _("more front sag, along the leg"), "length", needed=False),
        Field("rear_up", _("rear raised, at the wheel"), "length", needed=False),
    ),
    compute=_geometry,
    formula=("trail = R tan(rake) − d / cos(rake)", "normal trail = trail · cos(rake)",
             _("changes by the exact pitch of the frame on its two wheels")),
    source=_("Meijaard et al., Proc. R. Soc. A 463 (2007); plane geometry."),
)  # fmt: skip


def _travel(given: Given) -> Answer:
    band = practice.target("travel_used", given.house.bands)
    found = load.travel_margin(
        usable_mm=given["usable"],
        used_mm=given["used"],
        low_percent=band.low,
        high_percent=band.high,
    )
    return Answer(
        (
            Line(gettext("Used"), f"{found.used_percent:.0f} %", say(found.says)),
            Line(gettext("Left"), given.shown(found.margin_mm, "usable")),
            Line(
                gettext("Band"),
                f"{band.low:g}–{band.high:g} %",
                gettext("about three quarters; common practice, no source"),
            ),
        ),
        assumptions=(
            gettext("Usable travel is to the end mark of this bike, not the brochure's."),
        ),
    )


TRAVEL = Calculator(
    slug="travel",
    title=_("Travel used"),
    asks=_("How much travel was used, and how much is left?"),
    group=GROUP,
    fields=(
        Field("usable", _("usable travel"), "length"),
        Field("used", _("travel used"), "length", help=_("by the ring")),
    ),
    compute=_travel,
    formula=("margin = usable − used",),
    source=_("Common practice, no source."),
    crew=True,
)  # fmt: skip


def _braking(given: Given) -> Answer:
    slowing = given["slowing"] * STANDARD_GRAVITY
    loads = load.wheel_loads(
        mass_kg=given["mass"],
        wheelbase_mm=given["wheelbase"],
        centre_to_front_mm=given["to_front"],
        centre_height_mm=given["height"],
        deceleration_m_s2=slowing,
    )
    lifts = load.lifting_deceleration(
        centre_to_front=given["to_front"], centre_height=given["height"]
    )
    axial = load.fork_axial_n(
        front_load_n=loads.front_n,
        brake_force_n=given["mass"] * slowing,
        unsprung_kg=given["unsprung"],
        deceleration_m_s2=slowing,
        rake_deg=given["rake"],
    )
    area, volume = given.get("area"), given.get("volume")
    air = load.AirSpring(area, volume) if area and volume else None
    travel = load.fork_travel_mm(
        axial_n=axial, pair_n_per_mm=given["pair"], preload_mm=given["preload"], air=air
    )
    return Answer(
        (
            Line(
                gettext("Fork travel, held brake"),
                f"{travel:.0f} mm",
                gettext("with the air") if air else gettext("spring alone, no air: too much"),
            ),
            Line(gettext("Front wheel"), f"{loads.front_n:.0f} N"),
            Line(gettext("Rear wheel"), f"{loads.rear_n:.0f} N"),
            Line(gettext("Rear lifts at"), f"{lifts / STANDARD_GRAVITY:.2f} g"),
            Line(gettext("Along the fork"), f"{axial:.0f} N"),
        ),
        assumptions=(
            gettext("Front brake alone, level road, held long enough to settle; no damping."),
            gettext("Rigid tyres; rake as it stands."),
        ),
        cautions=(gettext("A calculation, not a braking test: it says nothing of grip."),),
    )


BRAKING = Calculator(
    slug="braking",
    title=_("Braking"),
    asks=_("Where does the fork stand on the brakes?"),
    group=GROUP,
    fields=(
        Field("mass", _("bike and rider"), "mass", default="260"),
        Field("wheelbase", _("wheelbase"), "length", default="1400"),
        Field("to_front", _("centre of mass to front axle"), "length", default="700"),
        Field("height", _("height of centre of mass"), "length", default="620"),
        Field("slowing", _("deceleration, in g"), default="0.9"),
        Field("unsprung", _("unsprung mass at the front"), "mass", default="17"),
        Field("rake", _("rake"), "angle", default="24"),
        Field("pair", _("both fork springs"), "rate", default="19"),
        Field("preload", _("preload"), "length", default="15"),
        Field("area", _("area of one leg's inside, mm²"), needed=False, further=True),
        Field("volume", _("air in one leg, cm³"), needed=False, further=True),
    ),
    compute=_braking,
    formula=("ΔN = m a h / wheelbase", "F = (N_f − μg) cos(rake) + (F_b − μa) sin(rake)",
             "F = k (x + p) + 2 p₀ A [(V₀ / (V₀ − A x))ⁿ − 1]"),
    source=_("Statics of a rigid motorcycle; checked with sympy."),
)  # fmt: skip


def _frequency(given: Given) -> Answer:
    hertz = load.ride_frequency_hz(wheel_rate_n_per_mm=given["rate"], sprung_kg=given["mass"])
    return Answer(
        (Line(gettext("Ride frequency"), f"{hertz:.2f} Hz"),),
        assumptions=(gettext("One end on its own; friction and tyre left out."),),
        cautions=(gettext("Never from measured sag: preload changes sag, not the frequency."),),
    )


FREQUENCY = Calculator(
    slug="frequency",
    title=_("Ride frequency"),
    asks=_("How quick is this end on its spring?"),
    group=GROUP,
    fields=(
        Field("rate", _("rate at the wheel"), "rate"),
        Field("mass", _("sprung mass on it"), "mass"),
    ),
    compute=_frequency,
    formula=("f = √(k / m) / 2π",),
    source=_("Any text on vibrations; a printed example in the check table."),
)
