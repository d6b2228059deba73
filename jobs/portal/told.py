"""A day told to the rider: what it was like, what was seen, changed and expected, what came."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage import words
from jobs.garage.enums import OilState
from jobs.setups import sentences
from jobs.setups.cards import adjuster_ruler
from jobs.setups.enums import Verdict
from jobs.setups.models import BikePhoto, Finding, Judgement
from jobs.setups.selectors import ExpectationResult, Story
from jobs.tuning.knowledge import shipped

from .glossary import TradeTerm, adjuster_term, screw_of


def sentence(text: str) -> str:
    """What somebody typed, ended by one full stop, so that no sentence ends by two marks."""
    said = text.strip().rstrip(".;,")
    if not said:
        return ""
    said = said[:1].upper() + said[1:]
    return said if said[-1] in "!?…" else f"{said}."


@dataclass(frozen=True)
class Said:
    """One thing that was said or seen, with its photos and what the term means."""

    finding: Finding
    photos: Sequence[BikePhoto] = ()

    @property
    def quote(self) -> str:
        return self.finding.words.strip() if self.finding.by_rider else ""

    @property
    def note(self) -> str:
        return "" if self.finding.by_rider else sentence(self.finding.words)

    @property
    def means(self) -> str:
        known = shipped().findings.get(self.finding.code)
        return known.see if known and self.finding.title == known.title else ""

    @property
    def aside(self) -> str:
        where = sentences.finding_where(self.finding)
        if self.finding.session is None:
            return where
        after = _("after session %(n)s") % {"n": self.finding.session.number}
        return f"{after} · {where}" if where else after


@dataclass(frozen=True)
class ToldOutcome:
    """What was expected of a change, and what came of it, as sentences."""

    result: ExpectationResult

    @property
    def expected(self) -> str:
        return sentence(self.result.expected)

    @property
    def came(self) -> str:
        return {
            Verdict.SEEN.value: _("It came as expected."),
            Verdict.PARTLY.value: _("It came in part."),
            Verdict.NOT_SEEN.value: _("It did not come."),
            Verdict.NOT_TESTED.value: _("It could not be tested."),
        }.get(self.result.code, _("Not judged yet."))

    @property
    def noted(self) -> str:
        """The words beside the verdict as they were noted: whose they are is not known."""
        return self.result.words.strip().rstrip(".")


@dataclass(frozen=True)
class Told:
    """One change as it is told."""

    story: Story
    is_whole: bool = True

    @property
    def term(self) -> TradeTerm | None:
        return adjuster_term(self.story.row.adjuster)

    @property
    def screw(self) -> str:
        return screw_of(self.story.row.adjuster)

    @property
    def ruler(self) -> SafeString:
        row = self.story.row
        return adjuster_ruler(row.adjuster, row.to_position, row.from_position)

    @property
    def seen(self) -> str:
        """What it was changed for, in the catalogue's word."""
        finding = self.story.row.finding
        return finding.title if finding and self.is_whole else ""

    @property
    def reason(self) -> str:
        """Why, unless these are the very words that are quoted as the rider's."""
        finding = self.story.row.finding
        if finding and finding.by_rider and finding.words.strip() == self.story.reason.strip():
            return ""
        return sentence(self.story.reason)

    @property
    def riders_words(self) -> str:
        finding = self.story.row.finding
        return finding.words.strip() if finding and finding.by_rider and self.is_whole else ""

    @property
    def outcomes(self) -> list[ToldOutcome]:
        return [ToldOutcome(one) for one in self.story.expectations]

    @property
    def when(self) -> str:
        """When in the day, and how warm the oil was."""
        session, oil = self.story.row.session, self.story.row.oil_state
        if session is None:
            return _("Before the first session.")
        if not oil:
            return _("After session %(n)s.") % {"n": session.number}
        return {
            OilState.COLD.value: _("After session %(n)s, with cold oil in the suspension."),
            OilState.WARM.value: _("After session %(n)s, with warm oil in the suspension."),
            OilState.HOT.value: _("After session %(n)s, with hot oil in the suspension."),
        }[oil] % {"n": session.number}


@dataclass(frozen=True)
class LaterJudged:
    """What came, on this day, of a change made on an earlier one."""

    judgement: Judgement

    @property
    def change(self) -> str:
        return sentences.adjustment(self.judgement.expectation.adjustment)

    @property
    def made_on(self) -> date:
        entry = self.judgement.expectation.entry
        assert entry is not None  # it was asked for by its day
        return entry.trackday.date

    @property
    def outcome(self) -> ToldOutcome:
        row = self.judgement
        result = ExpectationResult(row.expectation.text, words=row.words, code=row.verdict)
        return ToldOutcome(result)


@dataclass
class DayTold:
    """All that is told of a day in sentences."""

    said: Sequence[Said] = ()
    changes: Sequence[Told] = field(default_factory=list)
    of_earlier: Sequence[LaterJudged] = ()

    @property
    def headline(self) -> str:
        """The day in one sentence; told by what people judged, never guessed."""
        codes = [o.code for one in self.changes for o in one.story.expectations]
        n = len(self.changes)
        if not n:
            return _("Nothing was changed: what works is left alone.")
        came = codes.count(Verdict.SEEN)
        judged = [code for code in codes if code and code != Verdict.NOT_TESTED]
        if not judged:
            return ngettext(
                "One change was made; what came of it is not judged yet.",
                "%(n)s changes were made; what came of them is not judged yet.",
                n,
            ) % {"n": n}
        if n == 1 and len(judged) == 1:
            return self._of_one(judged[0])
        return ngettext(
            "%(n)s change was made. Of what was expected, %(came)s of %(judged)s came.",
            "%(n)s changes were made. Of what was expected, %(came)s of %(judged)s came.",
            n,
        ) % {"n": n, "came": came, "judged": len(judged)}

    def _of_one(self, code: str) -> str:
        row = self.changes[0].story.row
        said = {
            "adjuster": words.adjuster_name(row.adjuster)
            if not self.changes[0].story.both
            else words.pair_name(row.adjuster),
            "moved": words.difference(row.adjuster, row.from_position, row.to_position),
        }
        return {
            Verdict.SEEN.value: _("%(adjuster)s, %(moved)s: it came as expected."),
            Verdict.PARTLY.value: _("%(adjuster)s, %(moved)s: it came in part."),
            Verdict.NOT_SEEN.value: _("%(adjuster)s, %(moved)s: what was expected did not come."),
        }[code] % said


def day_told(
    stories: Sequence[Story],
    findings: Iterable[Finding] = (),
    photos: Iterable[BikePhoto] = (),
    of_earlier: Iterable[Judgement] = (),
    *,
    is_whole: bool = True,
) -> DayTold:
    """Of a day that is shown as the machine's only there is nothing but ``stories``."""
    of_finding: dict[object, list[BikePhoto]] = defaultdict(list)
    for photo in photos:
        if photo.finding_id is not None:
            of_finding[photo.finding_id].append(photo)
    said = [Said(finding, of_finding[finding.pk]) for finding in findings]
    return DayTold(
        said,
        [Told(story, is_whole) for story in stories],
        [LaterJudged(one) for one in of_earlier],
    )
