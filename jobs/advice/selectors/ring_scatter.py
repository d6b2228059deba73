"""How far rings scatter in the own book, per rider and end, against what is believed of them."""

from collections import defaultdict
from dataclasses import dataclass

from jobs.garage.enums import End
from jobs.people.models import Business
from jobs.people.selectors import own_bands
from jobs.tuning.evidence import wilson
from jobs.tuning.outlook import RingPrior, RingRead, Scatter, scatter_of

from .rings import RING_PLACE, ring_prior, rings_of

# The share of bands of 90 % that hold the next ring in a long run of simulated riders.
LEAST_COVERED, MOST_COVERED = 0.87, 0.95
FEWEST_FORECASTS = 20


@dataclass(frozen=True)
class RiderScatter:
    """One rider's rings at one end, over all bikes."""

    rider: str
    rings: int
    sd_mm: float | None
    forecasts: int
    inside: int


@dataclass(frozen=True)
class EndScatter:
    """All riders' rings at one end, and what is believed before any ring."""

    end: str
    prior: RingPrior
    own: bool
    riders: tuple[RiderScatter, ...]

    @property
    def covered(self) -> str:
        """Whether the bands that the prior gives hold as often as they should, as a sentence."""
        forecasts = sum(row.forecasts for row in self.riders)
        inside = sum(row.inside for row in self.riders)
        said = f"{inside} of {forecasts} next rings came in their 90 % band"
        if forecasts < FEWEST_FORECASTS:
            return f"{said}: too few to say ({FEWEST_FORECASTS} are needed)."
        interval = wilson(k=inside, n=forecasts)
        if interval.high < LEAST_COVERED:
            return f"{said}: the prior does not cover them. Set a wider ring scatter of your own."
        if interval.low > MOST_COVERED:
            return f"{said}: the prior is wider than needed."
        return f"{said}: the prior covers them."


def ring_scatter(business: Business) -> tuple[EndScatter, ...]:
    """Both ends, front first: the same queries whatever there is."""
    own = own_bands(business)
    books = rings_of()
    found = []
    for end in End:
        prior = ring_prior(end, own)
        scatters: dict[str, list[Scatter]] = defaultdict(list)
        for (_bike, at), rows in books.items():
            if at != end:
                continue
            rings = [row.ring for row in rows]
            names = {row.ring.seen_in.rider: row.reading.entry for row in rows}
            for rider, entry in names.items():
                one = _scatter(rings, rider, end, prior)
                if one.rings > 1 and entry is not None:
                    scatters[entry.rider.name].append(one)
        riders = tuple(_of_rider(name, scatters[name]) for name in sorted(scatters))
        found.append(EndScatter(end, prior, f"ring_{end}" in own, riders))
    return tuple(found)


def _scatter(rings: list[RingRead], rider: str, end: End, prior: RingPrior) -> Scatter:
    return scatter_of(rings=rings, rider=rider, place=RING_PLACE[end], prior=prior)


def _of_rider(name: str, scatters: list[Scatter]) -> RiderScatter:
    """The scatters of one rider's bikes as one, each weighed by its rings less one."""
    known = [(one.sd_mm, one.rings - 1) for one in scatters if one.sd_mm is not None]
    weight = sum(degrees for _sd, degrees in known)
    pooled = (sum(sd**2 * n for sd, n in known) / weight) ** 0.5 if weight else None
    return RiderScatter(
        rider=name,
        rings=sum(one.rings for one in scatters),
        sd_mm=pooled,
        forecasts=sum(one.forecasts for one in scatters),
        inside=sum(one.inside for one in scatters),
    )
