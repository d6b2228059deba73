"""Conditions as the data files write them: ``front push slow or very_slow and travel short``.

One or more terms joined by "and", all of which must hold. A term is an optional end, a
fact, and one or more of its states joined by "or". Without an end the term is about the
end the finding was seen on.
"""

from dataclasses import dataclass, field
from functools import lru_cache

from ..refusal import Refused
from ..terms import End
from ..words import _
from .facts import MEANINGS, Facts, Known


@dataclass(frozen=True)
class Term:
    """One fact in one of some states, on one end (None: the finding's own)."""

    end: End | None
    fact: str
    states: frozenset[str]

    def at(self, end: End | None) -> End | None:
        return self.end or end

    def known(self, facts: Facts, end: End | None) -> Known | None:
        return facts.get(self.fact, self.at(end))


@dataclass(frozen=True)
class Condition:
    """What must hold, all of it. Two that mean the same are equal, however they are spelt."""

    text: str = field(compare=False)
    terms: tuple[Term, ...]

    def holds(self, facts: Facts, end: End | None) -> bool | None:
        """True, False, or None where what is known does not say.

        A single false term decides even when others are unknown.
        """
        answers = [_term_holds(term, facts, end) for term in self.terms]
        if False in answers:
            return False
        return None if None in answers else True

    def words(self, facts: Facts, end: End | None) -> tuple[str, ...]:
        """What is known of the things this condition speaks of."""
        found = (term.known(facts, end) for term in self.terms)
        return tuple(known.words for known in found if known)

    def unknown(self, facts: Facts, end: End | None) -> tuple[str, ...]:
        """The quick checks that would settle it, in the order of its terms."""
        return tuple(
            facts.find_out(term.fact, term.at(end))
            for term in self.terms
            if term.known(facts, end) is None
        )


def _term_holds(term: Term, facts: Facts, end: End | None) -> bool | None:
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


def spelt(condition: Condition) -> str:
    """A condition in one spelling, its states in the order of :mod:`.facts`.

    >>> spelt(parse("push slow or very_slow and oil hot"))
    'push very_slow or slow and oil hot'
    """
    return " and ".join(_term_spelt(term) for term in condition.terms)


def _term_spelt(term: Term) -> str:
    allowed = MEANINGS[term.fact].states
    states = [state for state in allowed if state in term.states] or sorted(term.states)
    return " ".join([*([term.end] if term.end else []), term.fact, " or ".join(states)])


def _term(words: list[str], text: str) -> Term:
    end = End(words.pop(0)) if words and words[0] in set(End) else None
    fact = words.pop(0) if words else ""
    if fact not in MEANINGS:
        raise Refused(_("“{text}”: “{fact}” is not a known fact.", text=text, fact=fact))
    if end and not MEANINGS[fact].of_end:
        raise Refused(
            _("“{text}”: “{fact}” is of the whole bike, not of an end.", text=text, fact=fact)
        )
    states, joints = words[::2], words[1::2]
    allowed = MEANINGS[fact].states
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
    return Term(end, fact, frozenset(states))
