"""What is seen, suspected and suggested on one bike."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from jobs.advice import selectors
from jobs.garage import words
from jobs.garage.models import Adjuster
from jobs.people.access import SignedIn
from jobs.people.models import Business
from jobs.setups.enums import Verdict
from jobs.setups.limits import over_step, small_step
from jobs.setups.selectors import orders_open
from jobs.tuning.evidence import Evidence
from jobs.tuning.knowledge import EndPlan, Finding, Move
from jobs.tuning.terms import AdjusterFunction

from ..asked import asked_of
from ..sheet.identity import entry_get, head_of
from .across import returning, same_today


def page(request: SignedIn, entry_id: int) -> HttpResponse:
    entry = entry_get(entry_id)
    bench = selectors.bench_of(entry, settlement=selectors.settlement_of(entry.bike))
    known = selectors.evidence()
    by_pk = {s.adjuster.pk: s.adjuster for s in bench.standings}
    codes = [row.finding.code for row in bench.counsel.findings]
    state = selectors.state_of(bench)
    head, orders = head_of(entry), orders_open(entry)
    ordered = {order.first.adjuster.end for order in orders}
    context = {
        "entry": entry,
        "head": head,
        "state": state,
        "returning": returning(bench),
        "has_been_out": bench.session_id is not None,
        "orders": orders,
        "plans": [
            {**_plan(bench, plan, known, by_pk), "ordered": plan.end in ordered}
            for plan in bench.counsel.ends
        ],
        "findings": bench.counsel.findings,
        "for_the_rider": bench.counsel.for_the_rider,
        "expectations": asked_of(entry, head.stop),
        "verdicts": Verdict.choices,
        "same_today": same_today(entry, codes),
        "sources": bench.catalogue.sources,
    }
    return render(request, "board/advice/page.html", context)


def _plan(
    bench: selectors.Bench, plan: EndPlan, known: tuple[Evidence, ...], by_pk: dict[Any, Adjuster]
) -> dict[str, Any]:
    suggestion = plan.suggestion
    title = bench.catalogue.title
    shown: dict[str, Any] = {
        "plan": plan,
        "suggestion": suggestion,
        "not_offered": [(title(note.finding), note.why) for note in plan.not_offered],
    }
    if suggestion is None:
        return shown
    code = suggestion.finding.code if suggestion.finding else ""
    noted = [row for row in bench.findings if row.code == code]
    moves = [_move(by_pk[move.key], move, bench.business) for move in suggestion.moves]
    return {
        **shown,
        "moves": moves,
        "also": [title(other) for other in suggestion.also_points_here],
        "code": code,
        "finding": noted[-1].pk if noted else "",
        "evidence": selectors.evidence_for(suggestion.name, known) if code else None,
        "sources": _sources(bench, suggestion.finding) if suggestion.finding else [],
        "large": any(move["large"] for move in moves),
        "tyre_state": _tyre_state(bench, plan),
    }


def _sources(bench: selectors.Bench, finding: Finding) -> list[str]:
    """Who says it; of our own findings also the source in our own words."""
    listed = [bench.catalogue.sources[code] for code in finding.sources]
    return [*listed, *([finding.source_note] if finding.own and finding.source_note else [])]


def _tyre_state(bench: selectors.Bench, plan: EndPlan) -> str:
    """The state a suggested tyre pressure is for: that of the figure it starts from."""
    suggestion = plan.suggestion
    if suggestion is None or suggestion.function != AdjusterFunction.TYRE_PRESSURE:
        return ""
    return bench.bike.tyres[plan.end].set_state


def _move(adjuster: Adjuster, move: Move, business: Business) -> dict[str, Any]:
    return {
        "adjuster": adjuster,
        "name": words.adjuster_name(adjuster),
        "from": move.from_,
        "to": move.to,
        "from_words": words.position_short(adjuster, move.from_),
        "to_words": words.position_short(adjuster, move.to),
        "moved": words.difference(adjuster, move.from_, move.to),
        "large": over_step(small_step(adjuster, business), move.from_, move.to),
    }
