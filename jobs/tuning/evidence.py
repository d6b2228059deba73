"""How often an expectation was seen, and how much a few judgements prove.

Sources: Newcombe, Statistics in Medicine 17 (1998) and Wilson, JASA 22 (1927) for the score
interval; Brown, Cai and DasGupta, Statistical Science 16 (2001) for Jeffreys' interval.
"""

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from operator import attrgetter

from .argument_checks import checked
from .distributions import beta_quantile, normal_quantile
from .pooled_shares import PooledShare, pooled_shares
from .refusal import Refused
from .terms import Verdict
from .words import _

CONFIDENCE = 0.95
MOST_WITHOUT_EVIDENCE = 3


@checked
@dataclass(frozen=True)
class Proportion:
    """``k`` seen of ``n`` judged, with the two ends of a 95 % interval."""

    k: int
    n: int
    low: float
    high: float


@checked
def wilson(*, k: int, n: int, confidence: float = CONFIDENCE) -> Proportion:
    """Wilson's score interval for ``k`` of ``n``, n 1 or more.

    >>> seen = wilson(k=81, n=263)
    >>> round(seen.low, 4), round(seen.high, 4)
    (0.2553, 0.3662)
    """
    _check(k, n)
    z = normal_quantile(probability=0.5 + confidence / 2)
    centre = (k + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * math.sqrt(k * (n - k) / n + z * z / 4)
    low = 0.0 if k == 0 else max(0.0, centre - half)
    return Proportion(k, n, low, 1.0 if k == n else min(1.0, centre + half))


@checked
def jeffreys(*, k: int, n: int, confidence: float = CONFIDENCE) -> Proportion:
    """Jeffreys' interval, Beta(k + 1/2, n - k + 1/2); lower end 0 at k = 0, upper 1 at k = n.

    >>> seen = jeffreys(k=0, n=20)
    >>> seen.low, round(seen.high, 4)
    (0.0, 0.1166)
    """
    _check(k, n)
    tail = (1 - confidence) / 2
    a, b = k + 0.5, n - k + 0.5
    low = 0.0 if k == 0 else beta_quantile(probability=tail, a=a, b=b)
    high = 1.0 if k == n else beta_quantile(probability=1 - tail, a=a, b=b)
    return Proportion(k, n, low, high)


def _check(k: int, n: int) -> None:
    if n < 1 or not 0 <= k <= n:
        raise Refused(_("{k} of {n} is no count of something seen.", k=k, n=n))


@checked
@dataclass(frozen=True)
class JudgedExpectation:
    """One judged expectation: what was found, what was changed, what was seen.

    ``functions``: the functions changed on that end in that turnaround; a pair of legs, or a
    linked change, counts once under its first function. ``also_changed``: the names of what
    else changed: tyre, wet or dry, rider, track. ``order``: the highest was judged last.
    ``bike_class``: bikes that are alike, by name. ``ring_cannot_tell``: it was told by a ring
    that cannot show the change.
    """

    finding: str
    end: str
    functions: tuple[str, ...]
    direction: str
    verdict: Verdict
    bike: Hashable
    day: Hashable
    order: int = 0
    withdrawn: bool = False
    also_changed: tuple[str, ...] = ()
    bike_class: str = ""
    ring_cannot_tell: bool = False

    @property
    def key(self) -> tuple[str, str, str, str]:
        return self.finding, self.functions[0], self.end, self.direction

    @property
    def confounded(self) -> bool:
        return len(self.functions) > 1 or bool(self.also_changed)


@checked
@dataclass(frozen=True)
class SeenOf:
    """Seen and judged of one bike, or of one class of bikes."""

    of: Hashable
    seen: int
    judged: int


@checked
@dataclass(frozen=True)
class Evidence:
    """The judgements of all changes of one kind, counted.

    ``classes``, ``bikes``: the same by class of bike and by bike, the most judged first.
    """

    finding: str
    function: str
    end: str
    direction: str
    seen: int
    partly: int
    not_seen: int
    not_tested: int
    confounded: int
    score: Proportion | None = field(default=None)
    bayes: Proportion | None = field(default=None)
    ring_cannot_tell: int = 0
    classes: tuple[SeenOf, ...] = ()
    bikes: tuple[SeenOf, ...] = ()

    @property
    def judged(self) -> int:
        return self.seen + self.partly + self.not_seen

    @property
    def says(self) -> str:
        if self.judged <= MOST_WITHOUT_EVIDENCE:
            return _("no evidence yet")
        return _("seen {seen} of {judged} times", seen=self.seen, judged=self.judged)

    def of_bike(self, bike: Hashable) -> SeenOf:
        return next((one for one in self.bikes if one.of == bike), SeenOf(bike, 0, 0))

    def of_classes(self) -> tuple[tuple[SeenOf, PooledShare], ...]:
        """Each class with its share, drawn towards that of all classes."""
        shares = pooled_shares(counts=[(one.seen, one.judged) for one in self.classes])
        return tuple(zip(self.classes, shares, strict=True))

    def of_class(self, bike_class: str) -> tuple[SeenOf, PooledShare]:
        """One class, also where nothing of it was judged yet."""
        for counted, share in self.of_classes():
            if counted.of == bike_class:
                return counted, share
        counts = [(one.seen, one.judged) for one in self.classes]
        return SeenOf(bike_class, 0, 0), pooled_shares(counts=[*counts, (0, 0)])[-1]


@checked
def tally(judgements: Sequence[JudgedExpectation]) -> tuple[Evidence, ...]:
    """Counts per finding, function, end and direction, in that order.

    Withdrawn judgements do not count. Of several of one bike, day and kind, the last one
    counts. Confounded ones, and those told by a ring that cannot show the change, are only
    listed. "Not tested" is shown and is not in n; "partly" is
    in n and not in k. With three or fewer judged there is no interval: "no evidence yet".

    >>> rows = [JudgedExpectation("T1", "rear", ("rebound",), "softer", Verdict.SEEN, bike, 1)
    ...         for bike in range(5)]
    >>> found, = tally(rows)
    >>> str(found.says), round(found.score.low, 3)
    ('seen 5 of 5 times', 0.566)
    """
    kept: dict[tuple[Hashable, ...], JudgedExpectation] = {}
    for row in sorted(judgements, key=attrgetter("order")):
        if not row.withdrawn and row.functions:
            kept[(*row.key, row.bike, row.day)] = row
    groups: dict[tuple[str, str, str, str], list[JudgedExpectation]] = {}
    for row in kept.values():
        groups.setdefault(row.key, []).append(row)
    return tuple(_evidence(key, groups[key]) for key in sorted(groups))


def _evidence(key: tuple[str, str, str, str], rows: list[JudgedExpectation]) -> Evidence:
    telling = [row for row in rows if not (row.confounded or row.ring_cannot_tell)]
    alone = [row.verdict for row in telling]
    counts = {verdict: alone.count(verdict) for verdict in Verdict}
    seen = counts[Verdict.SEEN]
    n = len(alone) - counts[Verdict.NOT_TESTED]
    enough = n > MOST_WITHOUT_EVIDENCE
    finding, function, end, direction = key
    return Evidence(
        finding=finding,
        function=function,
        end=end,
        direction=direction,
        seen=seen,
        partly=counts[Verdict.PARTLY],
        not_seen=counts[Verdict.NOT_SEEN],
        not_tested=counts[Verdict.NOT_TESTED],
        confounded=sum(row.confounded for row in rows),
        score=wilson(k=seen, n=n) if enough else None,
        bayes=jeffreys(k=seen, n=n) if enough else None,
        ring_cannot_tell=sum(row.ring_cannot_tell and not row.confounded for row in rows),
        classes=_by(telling, attrgetter("bike_class")),
        bikes=_by(telling, attrgetter("bike")),
    )


def _by(
    rows: Sequence[JudgedExpectation], name: Callable[[JudgedExpectation], Hashable]
) -> tuple[SeenOf, ...]:
    """The counts by one thing, the most judged first."""
    verdicts: dict[Hashable, list[Verdict]] = {}
    for row in rows:
        if row.verdict != Verdict.NOT_TESTED:
            verdicts.setdefault(name(row), []).append(row.verdict)
    found = [SeenOf(of, all_.count(Verdict.SEEN), len(all_)) for of, all_ in verdicts.items()]
    return tuple(sorted(found, key=lambda one: (-one.judged, str(one.of))))
