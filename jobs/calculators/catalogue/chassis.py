"""Geometry, travel, braking and ride frequency."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import geometry, load, practice, travel
from jobs.tuning.terms import End, RiderPace, TravelPlace
from jobs.tuning.units import STANDARD_GRAVITY

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..drawings import steering
from ..inputs import Field, InputValues, Text, signed
from .sag import linkage_given, target_line

GROUP = _("Chassis")


def _geometry(given: InputValues) -> CalculatorAnswer:
    chassis = geometry.ChassisGeometry(
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
    return CalculatorAnswer(
        (
            AnswerLine(gettext("Trail"), f"{signed(moved.trail_change_mm)} mm"),
            AnswerLine(gettext("Rake"), f"{signed(moved.rake_change_deg, 2)}°"),
            AnswerLine(
                gettext("Trail at a right angle"), f"{signed(moved.normal_trail_change_mm)} mm"
            ),
            AnswerLine(gettext("Wheelbase"), f"{signed(moved.wheelbase_change_mm)} mm"),
            AnswerLine(
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


def _travel(given: InputValues) -> CalculatorAnswer:
    place = given.text("place")
    found = travel.travel_used(
        used_mm=given["used"],
        place=place,
        figures=travel.TravelFigures(
            usable_mm=given.get("usable"),
            shaft_stroke_mm=given.get("stroke"),
            end_mark_mm=given.get("mark"),
            linkage=None if place == TravelPlace.FORK_LEG else linkage_given(given),
        ),
    )
    end = End.FRONT if found.place == TravelPlace.FORK_LEG else End.REAR
    band = practice.target(practice.travel_key(end, given.text("pace")), given.figures.bands)
    return CalculatorAnswer(
        (
            AnswerLine(
                gettext("Used"),
                f"{100 * found.share:.0f} %",
                str(travel.band_words(found, low=band.low, high=band.high)),
            ),
            AnswerLine(
                gettext("Left"),
                given.shown(found.left_mm, "used"),
                gettext("of %(usable)s %(place)s")
                % {
                    "usable": given.shown(found.usable_mm, "used"),
                    "place": str(travel.PLACE_WORDS[found.place]),
                },
            ),
            *_at_the_wheel(given, found),
            target_line(band),
        ),
        assumptions=(gettext("Usable up to the end mark of this bike, not the brochure's."),)
        + ((gettext("What is usable there is worked out with the linkage."),)
           if found.converted else ()),
    )  # fmt: skip


def _at_the_wheel(given: InputValues, found: travel.TravelUsed) -> tuple[AnswerLine, ...]:
    if found.wheel_mm is None:
        return ()
    return (AnswerLine(gettext("At the wheel, about"), given.shown(found.wheel_mm, "used", 0)),)


PLACES: tuple[tuple[str, Text], ...] = (
    *((place.value, _(words.template)) for place, words in travel.PLACE_WORDS.items()),
    ("", _("nobody said")),
)
PACES = (
    ("", _("nobody said")),
    (RiderPace.NOVICE.value, _("novice")),
    (RiderPace.MIDDLE.value, _("middle")),
    (RiderPace.QUICK.value, _("quick")),
)

TRAVEL = Calculator(
    slug="travel",
    title=_("Travel used"),
    asks=_("How much travel was used, and how much is left?"),
    group=GROUP,
    fields=(
        Field("place", _("read"), needed=False, default=TravelPlace.FORK_LEG, choices=PLACES,
              help=_("the ring at the rear sits on the shock's shaft")),
        Field("used", _("travel used"), "length", help=_("by the ring")),
        Field("usable", _("usable travel"), "length", needed=False,
              help=_("of the fork leg; at the rear, of the wheel")),
        Field("stroke", _("usable stroke of the shock's shaft"), "length", needed=False),
        Field("mark", _("end mark"), "length", needed=False, further=True,
              help=_("what leg or shaft still shows at full travel")),
        Field("pace", _("the group rides"), needed=False, choices=PACES, further=True),
        Field("ratio", _("motion ratio, shock over wheel"), needed=False, further=True),
        Field("curve", _("or linkage curve"), needed=False, long=True, further=True,
              help=_("wheel mm and shock mm, a pair to a line")),
    ),
    compute=_travel,
    formula=(_("share = used / usable, both where it was read"),
             _("shaft stroke = s(z) of the linkage, z the wheel's travel")),
    source=_("Kinematics; the bands are common practice, no source."),
    crew=True,
)  # fmt: skip


def _in_the_air(slowing: float) -> str:
    words = gettext(
        "At %(slowing).2f g the rear wheel is in the air. There is no answer for the fork: the "
        "bike does not settle on both wheels."
    )
    return words % {"slowing": slowing}


def _braking(given: InputValues) -> CalculatorAnswer:
    lifts = (
        load.lifting_deceleration(centre_to_front=given["to_front"], centre_height=given["height"])
        / STANDARD_GRAVITY
    )
    lines = [AnswerLine(gettext("Rear lifts at"), f"{lifts:.2f} g")]
    if given["slowing"] > lifts:
        return CalculatorAnswer(tuple(lines), says=(_in_the_air(given["slowing"]),))
    slowing = given["slowing"] * STANDARD_GRAVITY
    loads = load.wheel_loads(
        mass_kg=given["mass"],
        wheelbase_mm=given["wheelbase"],
        centre_to_front_mm=given["to_front"],
        centre_height_mm=given["height"],
        deceleration_m_s2=slowing,
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
        axial_n=axial,
        pair_n_per_mm=given["pair"],
        preload_mm=given["preload"],
        usable_mm=given["usable"],
        air=air,
    )
    return CalculatorAnswer(
        (
            AnswerLine(
                gettext("Fork travel, held brake"),
                gettext("at its end") if travel is None else f"{travel:.0f} mm",
                gettext("with the air") if air else gettext("spring alone, no air: too much"),
            ),
            AnswerLine(gettext("Front wheel"), f"{loads.front_n:.0f} N"),
            AnswerLine(gettext("Rear wheel"), f"{loads.rear_n:.0f} N"),
            *lines,
            AnswerLine(gettext("Along the fork"), f"{axial:.0f} N"),
        ),
        says=()
        if travel is not None
        else (
            gettext("This would take the fork past its usable %(mm)g mm: it stands at its end.")
            % {"mm": given["usable"]},
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
        Field("usable", _("usable travel of the fork"), "length", default="120"),
        Field("area", _("area of one leg's inside, mm²"), needed=False, further=True),
        Field("volume", _("air in one leg, cm³"), needed=False, further=True),
    ),
    compute=_braking,
    formula=("ΔN = m a h / wheelbase", "F = (N_f − μg) cos(rake) + (F_b − μa) sin(rake)",
             "F = k (x + p) + 2 p₀ A [(V₀ / (V₀ − A x))ⁿ − 1]"),
    source=_("Statics of a rigid motorcycle; checked with sympy."),
)  # fmt: skip


def _frequency(given: InputValues) -> CalculatorAnswer:
    hertz = load.ride_frequency_hz(wheel_rate_n_per_mm=given["rate"], sprung_kg=given["mass"])
    return CalculatorAnswer(
        (AnswerLine(gettext("Ride frequency"), f"{hertz:.2f} Hz"),),
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
