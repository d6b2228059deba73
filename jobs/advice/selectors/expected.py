"""What a change of one adjuster should show next time, from the catalogue: ready to be tapped."""

from collections.abc import Iterator

from jobs.garage.enums import Firming
from jobs.garage.models import Adjuster
from jobs.people.reader_words import same_sentence
from jobs.setups import selectors as book
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import Catalogue, CatalogueFinding, ChangeDirection
from jobs.tuning.terms import End

from .catalogue import catalogue

MOST = 3


def expected_of(entry: Entry, adjuster: Adjuster) -> dict[int, list[str]]:
    """By sign of the move, at most three sentences: two queries.

    What today's findings on this bike ask to be seen comes first, then that of every
    finding whose first remedy is this very move.
    """
    rows = catalogue()
    logged = [row.code for row in book.findings_of_entry(entry) if row.code in rows.findings]
    found: dict[int, list[str]] = {1: [], -1: []}
    for sign, sentence in [*_today(rows, logged, adjuster), *_usual(rows, adjuster)]:
        if sentence not in found[sign]:
            found[sign].append(sentence)
    return {sign: sentences[:MOST] for sign, sentences in found.items()}


def finding_behind(entry: Entry, adjuster: Adjuster, sentence: str) -> str | None:
    """The id of today's newest finding whose own sentence this is: two queries at most.

    A change tapped together with that sentence was made for that finding.
    """
    if not sentence:
        return None
    rows = catalogue()
    for row in reversed(list(book.findings_of_entry(entry))):
        finding = rows.findings.get(row.code)
        if finding is None or row.end not in ("", adjuster.end) or not _signs(finding, adjuster):
            continue
        if same_sentence(finding.next, sentence):
            return str(row.pk)
    return None


def _today(rows: Catalogue, codes: list[str], adjuster: Adjuster) -> Iterator[tuple[int, str]]:
    """The newest finding first."""
    for code in reversed(codes):
        finding = rows.findings[code]
        for sign in _signs(finding, adjuster):
            yield sign, finding.next


def _usual(rows: Catalogue, adjuster: Adjuster) -> Iterator[tuple[int, str]]:
    for finding in rows.findings.values():
        for sign in _signs(finding, adjuster)[:1]:
            if _moves(finding, 0, adjuster):
                yield sign, finding.next


def _signs(finding: CatalogueFinding, adjuster: Adjuster) -> list[int]:
    """Which ways the finding's steps move this adjuster."""
    return [
        _way(adjuster, step.direction)
        for number, step in enumerate(finding.steps)
        if finding.next and _moves(finding, number, adjuster)
    ]


def _moves(finding: CatalogueFinding, number: int, adjuster: Adjuster) -> bool:
    step, end = finding.steps[number], End(adjuster.end)
    ends = (step.end,) if step.end else finding.ends or (end,)
    return step.function == adjuster.function and end in ends


def _way(adjuster: Adjuster, direction: ChangeDirection) -> int:
    if direction in (ChangeDirection.MORE, ChangeDirection.LESS):
        return 1 if direction == ChangeDirection.MORE else -1
    firmer = 1 if adjuster.firming == Firming.UP else -1
    return firmer if direction == ChangeDirection.FIRMER else -firmer
