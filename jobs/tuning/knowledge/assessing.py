"""Assess the suspects of a finding with today's facts: supported, contradicted or unknown."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..terms import End
from ..words import _
from .catalogue import CatalogueFinding, StopCondition, Suspect
from .facts import KnownFacts
from .reasoning_input import LoggedFinding


class SuspectState(StrEnum):
    SUPPORTED = "supported"
    CONTRADICTED = "contradicted"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class AssessedSuspect:
    """One suspect, with the reasons for and against it.

    ``check``: the quick check to make while it is unknown. ``say``: words for the rider, once
    it is supported, or at once if the rider is asked first. ``offers_hold``: it is mechanical
    and not ruled out, so a hold is offered with its check.
    """

    suspect: Suspect
    standing: SuspectState
    because: tuple[str, ...] = ()
    check: str = ""
    say: str = ""
    offers_hold: bool = False


@dataclass(frozen=True)
class ExplainedFinding:
    """One logged finding with its assessed suspects, and the stop conditions that hold."""

    logged: LoggedFinding
    suspects: tuple[AssessedSuspect, ...]
    stops: tuple[StopCondition, ...] = ()

    @property
    def finding(self) -> CatalogueFinding:
        return self.logged.finding

    def weighed(self, order: int) -> AssessedSuspect:
        return self.suspects[order - 1]

    @property
    def first_check(self) -> AssessedSuspect | None:
        """The first unknown suspect with a check, which is the one to make now."""
        unknown = (w for w in self.suspects if w.standing == SuspectState.UNKNOWN and w.check)
        return next(unknown, None)


def explain(
    logged: LoggedFinding, facts: KnownFacts, answers: Mapping[tuple[str, int], bool]
) -> ExplainedFinding:
    """Assess every suspect of one finding with ``facts`` and the answers given."""
    finding = logged.finding
    end = finding.end_of(logged.end)
    return ExplainedFinding(
        logged,
        tuple(
            _assess(suspect, facts, end, answers.get((finding.code, suspect.order)))
            for suspect in finding.suspects
        ),
        tuple(stop for stop in finding.stops if stop.when and stop.when.holds(facts, end)),
    )


def _assess(
    suspect: Suspect, facts: KnownFacts, end: End | None, answer: bool | None
) -> AssessedSuspect:
    pro = [c for c in suspect.when if c.holds(facts, end)]
    contra = [c for c in suspect.unless if c.holds(facts, end)]
    for_it, against = bool(pro) or answer is True, bool(contra)
    if answer is False and not pro:
        against = True
    because = _because(suspect, answer, [w for c in (*pro, *contra) for w in c.words(facts, end)])
    standing = SuspectState.UNKNOWN
    if for_it != against:
        standing = SuspectState.SUPPORTED if for_it else SuspectState.CONTRADICTED
    elif for_it:
        because = (_("readings disagree"), *because)
    open_ = standing != SuspectState.CONTRADICTED
    return AssessedSuspect(
        suspect=suspect,
        standing=standing,
        because=because,
        check=_check(suspect, facts, end, answer) if standing == SuspectState.UNKNOWN else "",
        say=suspect.say
        if standing == SuspectState.SUPPORTED or (open_ and suspect.word_first)
        else "",
        offers_hold=suspect.mechanical and open_,
    )


def _because(suspect: Suspect, answer: bool | None, words: list[str]) -> tuple[str, ...]:
    said = () if answer is None else (
        _("{question} {answer}", question=suspect.ask, answer=_("Yes.") if answer else _("No.")),
    )  # fmt: skip
    return (*said, *dict.fromkeys(words))


def _check(suspect: Suspect, facts: KnownFacts, end: End | None, answer: bool | None) -> str:
    """The question if it was not asked, else what to look at, else what to read."""
    if suspect.ask and answer is None:
        return suspect.ask
    if suspect.check:
        return suspect.check
    conditions = (*suspect.when, *suspect.unless)
    return next((w for c in conditions for w in c.unknown(facts, end)), "")
