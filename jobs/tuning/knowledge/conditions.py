"""Conditions as the data files write them: ``front push slow or very_slow and travel short``.

A condition has one or more terms joined by "and", which must all hold. A term is an optional
end, a fact, and one or more of its states joined by "or". Without an end the term is about the
end on which the finding was seen.
"""

from dataclasses import dataclass, field
from functools import lru_cache

from ..refusal import Refused
from ..terms import End
from ..words import _
from .facts import FACT_KINDS, FactValue, KnownFacts


@dataclass(frozen=True)
class ConditionTerm:
    """One fact in one of some states, on one end (None: the finding's own)."""

    end: End | None
    fact: str
    states: frozenset[str]

    def at(self, end: End | None) -> End | None:
        return self.end or end

    def known(self, facts: KnownFacts, end: End | None) -> FactValue | None:
        return facts.get(self.fact, self.at(end))


@dataclass(frozen=True)
class Condition:
    """Terms that must all hold. Two conditions with the same meaning are equal."""

    text: str = field(compare=False)
    terms: tuple[ConditionTerm, ...]

    def holds(self, facts: KnownFacts, end: End | None) -> bool | None:
        """True, False, or None if too little is known.

        One false term is enough, even if others are unknown.
        """
        answers = [_term_holds(term, facts, end) for term in self.terms]
        if False in answers:
            return False
        return None if None in answers else True

    def words(self, facts: KnownFacts, end: End | None) -> tuple[str, ...]:
        """What is known of the facts in this condition, in words."""
        found = (term.known(facts, end) for term in self.terms)
        return tuple(known.words for known in found if known)

    def unknown(self, facts: KnownFacts, end: End | None) -> tuple[str, ...]:
        """The quick checks for its unknown facts, in the order of its terms."""
        return tuple(
            facts.find_out(term.fact, term.at(end))
            for term in self.terms
            if term.known(facts, end) is None
        )


def _term_holds(term: ConditionTerm, facts: KnownFacts, end: End | None) -> bool | None:
    known = term.known(facts, end)
    return None if known is None else bool(known.states & term.states)


@lru_cache(maxsize=1024)
def parse(text: str) -> Condition:
    """A condition from its words; :class:`Refused` names the word it does not know.

    >>> [sorted(term.states) for term in parse("front push slow or very_slow").terms]
    [['slow', 'very_slow']]
    """
    terms = tuple(_term(part.split(), text) for part in text.split(" and "))
    return Condition(text, terms)


def as_text(condition: Condition) -> str:
    """A condition as text, its states in the order of :mod:`.facts`.

    >>> as_text(parse("push slow or very_slow and oil hot"))
    'push very_slow or slow and oil hot'
    """
    return " and ".join(_term_text(term) for term in condition.terms)


def _term_text(term: ConditionTerm) -> str:
    allowed = FACT_KINDS[term.fact].states
    states = [state for state in allowed if state in term.states] or sorted(term.states)
    return " ".join([*([term.end] if term.end else []), term.fact, " or ".join(states)])


def _term(words: list[str], text: str) -> ConditionTerm:
    end = End(words.pop(0)) if words and words[0] in set(End) else None
    fact = words.pop(0) if words else ""
    if fact not in FACT_KINDS:
        raise Refused(_("“{text}”: “{fact}” is not a known fact.", text=text, fact=fact))
    if end and not FACT_KINDS[fact].of_end:
        raise Refused(
            _("“{text}”: “{fact}” is of the whole bike, not of an end.", text=text, fact=fact)
        )
    states, joints = words[::2], words[1::2]
    allowed = FACT_KINDS[fact].states
    if not states or set(joints) - {"or"} or len(joints) >= len(states):
        raise Refused(_("“{text}”: say the fact, then its states joined by “or”.", text=text))
    for state in states:
        if allowed and state not in allowed:
            raise Refused(
                _(
                    "“{text}”: “{fact}” is never “{state}”; it is one of {allowed}.",
                    text=text,
                    fact=fact,
                    state=state,
                    allowed=", ".join(allowed),
                )
            )
    return ConditionTerm(end, fact, frozenset(states))
