"""The trade's terms as a rider reads them: what each means, and which screw it is.

Which screw it is is common practice, no source: makers differ, and each sentence says so by
"most" or "usually".
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End, Function
from jobs.garage.models import AdjusterFields


@dataclass(frozen=True)
class TradeTerm:
    """``means``: what it is. ``front``, ``rear``: which screw it is at that end."""

    name: Promise
    means: Promise
    front: Promise | str = ""
    rear: Promise | str = ""

    def screw(self, end: str) -> Promise | str:
        return self.front if end == End.FRONT else self.rear


ADJUSTERS: Mapping[str, TradeTerm] = {
    Function.REBOUND: TradeTerm(
        _("Rebound"),
        _("How slowly the fork or the shock stretches again after it was pressed together. "
          "Firmer means slower."),
        _("On most forks it is the screw on top of the leg; on some, of one leg only."),
        _("On most shocks it is the screw at the lower end."),
    ),
    Function.COMPRESSION: TradeTerm(
        _("Compression"),
        _("How hard the fork or the shock resists being pressed together. Firmer means it dives "
          "or squats more slowly."),
        _("On most forks it is the screw at the foot of the leg, or on top of the other leg."),
        _("On most shocks it is the screw at the top, beside the reservoir."),
    ),
    Function.COMPRESSION_HIGH: TradeTerm(
        _("High-speed compression"),
        _("The same for quick hits, such as kerbs and sharp bumps: the speed is that of the "
          "suspension, not of the bike."),
        _("Where a fork has it, it is usually the ring around the compression screw."),
        _("On most shocks it is the hexagon around the compression screw."),
    ),
    Function.PRELOAD: TradeTerm(
        _("Preload"),
        _("How far the spring is pressed together while nothing lies on it. It sets how high that "
          "end rides, not how stiff the spring is."),
        _("On most forks it is the large hexagon on top of the leg."),
        _("On most shocks it is the ring on the spring, or a knob on a hose."),
    ),
    Function.SPRING: TradeTerm(
        _("Spring rate"),
        _("How many newtons press the spring together by one millimetre. It is changed by fitting "
          "another spring."),
        _("No screw: the spring stands inside the leg."),
        _("No screw: the spring stands around the shock."),
    ),
    Function.TUBE_HEIGHT: TradeTerm(
        _("Fork tube height"),
        _("How far the legs stand out above the top clamp. More lowers the front, and the bike "
          "turns more readily."),
        _("No screw: the legs slide in their clamps. A job for the stand."),
    ),
    Function.SHOCK_LENGTH: TradeTerm(
        _("Shock length"),
        _("How long the shock is between its bolts. Longer raises the rear."),
        "",
        _("Where a shock has it, it is the threaded end with its lock nut."),
    ),
    Function.LINKAGE: TradeTerm(
        _("Linkage"),
        _("The levers between the swingarm and the shock."),
        "",
        _("No screw: another lever or another hole is bolted on."),
    ),
    Function.OIL_LEVEL: TradeTerm(
        _("Oil level"),
        _("How high the oil stands in the fork leg. More oil makes the last part of the travel "
          "firmer."),
        _("No screw: the leg is opened for it."),
    ),
    Function.STEERING_DAMPER: TradeTerm(
        _("Steering damper"),
        _("How hard it is to turn the bars quickly. It calms a bar that shakes."),
        _("The knob or the screw on the damper itself."),
    ),
    Function.TYRE_PRESSURE: TradeTerm(
        _("Tyre pressure"),
        _("The pressure the tyre was set to. It rises as the tyre gets hot, so a figure always has "
          "its state beside it."),
        _("The valve of the wheel."),
        _("The valve of the wheel."),
    ),
    Function.MODE: TradeTerm(
        _("Mode"),
        _("A map of the electronic suspension."),
        _("It is chosen in the bike's menu."),
        _("It is chosen in the bike's menu."),
    ),
}  # fmt: skip

TERMS: Mapping[str, TradeTerm] = {
    "clicks": TradeTerm(
        _("Clicks out"),
        _("Turn the screw in gently until it stops, then count the clicks while turning it out. "
          "Never force the end. Where a bike counts otherwise, the words beside the figure say "
          "so."),
    ),
    "states": TradeTerm(
        _("Cold, off warmers, off track"),
        _("Cold: before it was ridden or heated. Off warmers: straight from the heated covers. Off "
          "track: read right after a session. Only figures of the same state can be compared."),
    ),
    "maker": TradeTerm(
        _("The maker's range"),
        _("What the tyre's maker states for this tyre in this state. The circuit's and the maker's "
          "words come first."),
    ),
    "travel": TradeTerm(
        _("Travel used"),
        _("How far the suspension was pressed together at most, read from a ring that the outing "
          "pushed along."),
    ),
    "pace": TradeTerm(
        _("Pace"),
        _("The middle one of the clean laps of a session: laps out, in, and held up are left out."),
    ),
    "wear": TradeTerm(
        _("Sessions left"),
        _("Worked out from the depths that were read so far. The figures in brackets are how far "
          "off that may be."),
    ),
    "outings": TradeTerm(
        _("Outings"),
        _("How often the bike truly went out on track since the part was fitted."),
    ),
}  # fmt: skip


def adjuster_term(adjuster: AdjusterFields) -> TradeTerm | None:
    return ADJUSTERS.get(adjuster.function)


def screw_of(adjuster: AdjusterFields) -> str:
    """Which screw an adjuster is; empty where nothing is known."""
    term = adjuster_term(adjuster)
    return str(term.screw(adjuster.end)) if term else ""
