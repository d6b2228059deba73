"""A finding's suspects against today's facts: supported, contradicted or not yet known."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..terms import End
from ..words import _
from .bike import Logged
from .catalogue import Finding, Stop, Suspect
from .facts import Facts


class Standing(StrEnum):
    SUPPORTED = "supported"
    CONTRADICTED = "contradicted"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Weighed:
    """One suspect with what speaks for or against it.

    ``check``: the quick check to make, where it is not known yet. ``say``: words for the
    rider, once supported, or from the start where a word comes first. ``offers_hold``:
    mechanical and not ruled out, so its check comes with the offer of a hold.
    """

    suspect: Suspect
    standing: Standing
    because: tuple[str, ...] = ()
    check: str = ""
    say: str = ""
    offers_hold: bool = False


@dataclass(frozen=True)
class Explained:
    """One logged finding with its suspects weighed, and the stops the readings show."""

    logged: Logged
    suspects: tuple[Weighed, ...]
    stops: tuple[Stop, ...] = ()

    @property
    def finding(self) -> Finding:
        return self.logged.finding

    def weighed(self, order: int) -> Weighed:
        return self.suspects[order - 1]

    @property
    def first_check(self) -> Weighed | None:
        """The first suspect nobody can tell yet: its check is the one to make now."""
        unknown = (w for w in self.suspects if w.standing == Standing.UNKNOWN and w.check)
        return next(unknown, None)


def explain(logged: Logged, facts: Facts, answers: Mapping[tuple[str, int], bool]) -> Explained:
    """Every suspect of one finding, weighed against ``facts`` and the answers given."""
    finding = logged.finding
    end = finding.end_of(logged.end)
    return Explained(
        logged,
        tuple(
            _weigh(suspect, facts, end, answers.get((finding.code, suspect.order)))
            for suspect in finding.suspects
        ),
        tuple(stop for stop in finding.stops if stop.when and stop.when.holds(facts, end)),
    )


def _weigh(suspect: Suspect, facts: Facts, end: End | None, answer: bool | None) -> Weighed:
    pro = [c for c in suspect.when if c.holds(facts, end)]
    contra = [c for c in suspect.unless if c.holds(facts, end)]
    for_it, against = bool(pro) or answer is True, bool(contra)
    if answer is False and not pro:
        against = True
    because = _because(suspect, answer, [w for c in (*pro, *contra) for w in c.words(facts, end)])
    standing = Standing.UNKNOWN
    if for_it != against:
        standing = Standing.SUPPORTED if for_it else Standing.CONTRADICTED
    elif for_it:
        because = (_("readings disagree"), *because)
    open_ = standing != Standing.CONTRADICTED
    return Weighed(
        suspect=suspect,
        standing=standing,
        because=because,
        check=_check(suspect, facts, end, answer) if standing == Standing.UNKNOWN else "",
        say=suspect.say if standing == Standing.SUPPORTED or (open_ and suspect.word_first) else "",
        offers_hold=suspect.mechanical and open_,
    )


def _because(suspect: Suspect, answer: bool | None, words: list[str]) -> tuple[str, ...]:
    said = () if answer is None else (
        _("{question} {answer}", question=suspect.ask, answer=_("Yes.") if answer else _("No.")),
    )  # fmt: skip
    return (*said, *dict.fromkeys(words))


def _check(suspect: Suspect, facts: Facts, end: End | None, answer: bool | None) -> str:
    """The question if it was not asked yet, else what to look at, else what to read."""
    if suspect.ask and answer is None:
        return suspect.ask
    if suspect.check:
        return suspect.check
    conditions = (*suspect.when, *suspect.unless)
    return next((w for c in conditions for w in c.unknown(facts, end)), "")
