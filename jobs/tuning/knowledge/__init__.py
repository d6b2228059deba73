"""The knowledge: findings with their suspects, and the reasoning from a finding to a change.

It does not use Django. The catalogue is data (``data/*.toml``). :func:`advise` takes a bike as
it stands and what was seen on it. It returns explained suspects and at most one change per end.

The open form of a finding is one table per finding::

    [T9]
    title, ends, phases      what it is; ends ["both"] is the whole bike
    family                   where it is met, if the file does not say: tyre_wear, push_test ...
    see, check, step, next, worse, stop     the words for people
    sources, source_note, disagreement      codes of sources.toml; none: common practice
    [[T9.suspects]]          in order of likelihood: text, kinds, and
      when, unless           conditions of which each supports, or contradicts, the suspect
      ask, check             a question whose yes supports it; what to look at by hand
      say, do                words for the rider; a remedy that is not an adjuster
      word_first             no change before the question was answered with no
    [[T9.steps]]             suspect it belongs to; function, direction, size, unit, end
      share                  percent of the counted range; size is then the least and the most
      when, unless, after    conditions for and against; suspects to be ruled out first
      instead_of             only if these adjusters are proven or cannot be set
      expect                 what should change, with its sign
    [[T9.stops]]             text, action (hold or service), when (if readings can show it)

Conditions are written like ``front push slow or very_slow and travel short``; the words are
those of :mod:`.facts`. ``push`` is only the hot push test of this turnaround.
"""

from .adjuster_moves import AdjusterMove
from .advising import advise
from .assessing import AssessedSuspect, ExplainedFinding, SuspectState
from .catalogue import (
    FAMILIES,
    Catalogue,
    CatalogueFinding,
    CauseKind,
    ChangeDirection,
    GoodSign,
    Quantity,
    StopAction,
    Suspect,
)
from .end_plans import BikeAdvice, EndPlan, NotOffered, Suggestion, SuggestionKind
from .facts import FACT_KINDS
from .finding_reader import UNITS, finding_read
from .finding_writer import finding_table, finding_write
from .limits import Limits
from .measured import measured_findings, out_of_band
from .readings_to_facts import facts_from_readings
from .reasoning_input import (
    AdjusterState,
    BikeSetup,
    EarlierToday,
    FittedTyre,
    LoggedFinding,
    Observations,
    PressureReading,
    PushTest,
    SagReading,
    SuggestionKey,
    TravelReading,
    TriedChange,
    TyreTemperatures,
)
from .reopen_rule import (
    CurrentState,
    ReopenReason,
    ReopenTrigger,
    SettledReference,
    reopened,
    track_line,
)
from .settled_rule import OutingRecord, SettledResult, like_pace, settled
from .shipped_catalogue import shipped, with_own
from .step_offers import change_words
from .table_reader import FindingFault, InvalidFinding

__all__ = [
    "FACT_KINDS",
    "FAMILIES",
    "UNITS",
    "AdjusterMove",
    "AdjusterState",
    "AssessedSuspect",
    "BikeAdvice",
    "BikeSetup",
    "Catalogue",
    "CatalogueFinding",
    "CauseKind",
    "ChangeDirection",
    "CurrentState",
    "EarlierToday",
    "EndPlan",
    "ExplainedFinding",
    "FindingFault",
    "FittedTyre",
    "GoodSign",
    "InvalidFinding",
    "Limits",
    "LoggedFinding",
    "NotOffered",
    "Observations",
    "OutingRecord",
    "PressureReading",
    "PushTest",
    "Quantity",
    "ReopenReason",
    "ReopenTrigger",
    "SagReading",
    "SettledReference",
    "SettledResult",
    "StopAction",
    "Suggestion",
    "SuggestionKey",
    "SuggestionKind",
    "Suspect",
    "SuspectState",
    "TravelReading",
    "TriedChange",
    "TyreTemperatures",
    "advise",
    "change_words",
    "facts_from_readings",
    "finding_read",
    "finding_table",
    "finding_write",
    "like_pace",
    "measured_findings",
    "out_of_band",
    "reopened",
    "settled",
    "shipped",
    "track_line",
    "with_own",
]
