"""The workbench's drawings, put together from ``jobs.plots``."""

import math
from collections.abc import Mapping, Sequence

from django.utils.translation import gettext as _

from jobs.plots.axes import PlotSeries
from jobs.plots.lines import line_plot
from jobs.plots.svg import element, number, path, picture, text
from jobs.tuning import damping, geometry, tyres, wear
from jobs.tuning.units import from_canonical


def push_trace(zetas: Sequence[float], natural_hz: float) -> str:
    """How the bike rises after a push, for the ends of an interval of damping ratio."""
    names = [f"ζ {zeta:.2f}" for zeta in zetas]
    return line_plot(
        [
            PlotSeries(
                name, [(t, 100 * x) for t, x in damping.trace(zeta=zeta, natural_hz=natural_hz)]
            )
            for name, zeta in zip(names, zetas, strict=True)
        ],
        title=_("Height after letting go, percent of the push"),
        marks=[(s, f"{s:g} s") for s in (0, 0.5, 1, 1.5, 2)],
        unit="%",
        curve=True,
    )


def pressure_line(
    *, set_kpa: float, set_c: float, hot_c: float, target_kpa: float, station_kpa: float, unit: str
) -> str:
    """Gauge pressure of the same air from cold to hot, with the target across."""
    low, high = min(set_c, hot_c), max(set_c, hot_c)
    temperatures = [low + (high - low) * i / 20 for i in range(21)]

    def shown(kpa: float) -> float:
        return from_canonical(value=kpa, unit=unit, quantity="pressure")

    line = [
        (
            t,
            shown(
                tyres.hot_from_cold(
                    cold_kpa_gauge=set_kpa, cold_c=set_c, hot_c=t, station_kpa=station_kpa
                )
            ),
        )
        for t in temperatures
    ]
    return line_plot(
        [PlotSeries("", [line[0], line[-1]])],
        title=_("Pressure against temperature of the air in the tyre"),
        marks=[(t, f"{t:.0f} °C") for t in (low, (low + high) / 2, high)],
        unit=unit,
        joined=False,
        fitted=line,
        levels=[(shown(target_kpa), _("target hot"))],
    )


def wear_plot(
    points: Mapping[str, Sequence[tuple[float, float]]],
    line: wear.FittedLine,
    limit_mm: float,
    until: float,
) -> str:
    """Depths by place, ``line`` through those of the first, its 95 % interval, the limit."""
    first = min(of_one[0][0] for of_one in points.values())
    steps = [first + (until - first) * i / 24 for i in range(25)]
    places = [round(first + (until - first) * i / 4) for i in range(5)]
    return line_plot(
        [
            PlotSeries(name if len(points) > 1 else "", list(of_one))
            for name, of_one in points.items()
        ],
        title=_("Depth by session"),
        marks=[(x, f"{x:g}") for x in dict.fromkeys(places)],
        unit="mm",
        joined=False,
        fitted=[(x, line.at(x)) for x in steps],
        band=[(x, line.at(x) - line.half_width(x), line.at(x) + line.half_width(x)) for x in steps],
        levels=[(limit_mm, _("limit"))],
    )


def steering(chassis: geometry.ChassisGeometry, change: geometry.GeometryChange) -> str:
    """Front wheel, steering axis and trail from the side: before thin, after thick.

    To scale; the change of rake is drawn ten times as large, or nobody would see it.
    """
    scale = 140 / (2 * chassis.front_radius_mm)
    radius = chassis.front_radius_mm * scale
    hub_x, ground = 250.0, 196.0
    hub_y = ground - radius
    parts = [
        path(f"M20 {number(ground)}H380", class_="axis"),
        element("circle", class_="grid", cx=hub_x, cy=hub_y, r=radius, fill="none"),
        _axis(chassis.rake_deg, chassis.offset_mm * scale, hub_x, hub_y, ground, "before"),
        _axis(
            chassis.rake_deg + 10 * change.rake_change_deg,
            chassis.offset_mm * scale,
            hub_x,
            hub_y,
            ground,
            "line s0",
        ),
        text(_("before"), x=20, y=20, class_=""),
        text(_("after, change drawn ×10"), x=20, y=36, class_="name s0"),
        *(text(words, x=20, y=at, class_="") for words, at in _rake_and_trail(chassis, change)),
    ]
    alt = _("Steering axis: rake %(rake)+.2f degrees, trail %(trail)+.1f mm") % {
        "rake": change.rake_change_deg,
        "trail": change.trail_change_mm,
    }
    return picture(*parts, width=400, height=216, alt=alt, class_="plot steering")


def _rake_and_trail(
    chassis: geometry.ChassisGeometry, change: geometry.GeometryChange
) -> tuple[tuple[str, float], ...]:
    """Both from before to after, each at the height it is written at."""
    rake = _("rake %(before).2f → %(after).2f°") % {
        "before": chassis.rake_deg,
        "after": chassis.rake_deg + change.rake_change_deg,
    }
    trail = _("trail %(before).1f → %(after).1f mm") % {
        "before": change.trail_mm - change.trail_change_mm,
        "after": change.trail_mm,
    }
    return (rake, 64.0), (trail, 186.0)


def _axis(
    rake_deg: float, offset: float, hub_x: float, hub_y: float, ground: float, class_: str
) -> str:
    """The steering axis through a point ``offset`` behind the hub, down to the ground."""
    rake = math.radians(rake_deg)
    at_x, at_y = hub_x - offset * math.cos(rake), hub_y - offset * math.sin(rake)
    foot = at_x + (ground - at_y) * math.tan(rake)
    top = at_x - (at_y - 12) * math.tan(rake)
    line = f"M{number(top)} 12L{number(foot)} {number(ground)}"
    trail = f"M{number(hub_x)} {number(ground + 6)}H{number(foot)}"
    return path(line, class_=class_) + path(trail, class_=class_)
