"""What is seen, suspected and suggested on one bike."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from jobs.advice import selectors
from jobs.advice.selectors import observations
from jobs.garage import words
from jobs.garage.models import Adjuster
from jobs.people.access import SignedIn
from jobs.people.models import Business
from jobs.setups.enums import Verdict
from jobs.setups.limits import over_step, small_step
from jobs.setups.selectors import orders_open
from jobs.tuning.evidence import Evidence
from jobs.tuning.knowledge import AdjusterMove, CatalogueFinding, EndPlan
from jobs.tuning.terms import AdjusterFunction

from ..pending_judgements import pending_judgements
from ..sheet.bike_header import bike_header_of, entry_get
from ..sheet.outlook import change_outlook
from ..sheet.travel_places import travel_place_question
from .earlier_setups import returning, same_finding_today
from .evidence import models_of


def page(request: SignedIn, entry_id: int) -> HttpResponse:
    entry = entry_get(entry_id)
    basis = selectors.advice_basis_of(entry, settlement=selectors.settlement_of(entry.bike))
    known = selectors.evidence()
    by_pk = {s.adjuster.pk: s.adjuster for s in basis.standings}
    codes = [row.finding.code for row in basis.advice.findings]
    state = selectors.settled_state_of(basis)
    head, orders = bike_header_of(entry), orders_open(entry)
    ordered = {order.first.adjuster.end for order in orders}
    context = {
        "entry": entry,
        "head": head,
        "state": state,
        "returning": returning(basis),
        "has_been_out": basis.session_id is not None,
        "orders": orders,
        "plans": [
            {**_plan(basis, plan, known, by_pk), "ordered": plan.end in ordered}
            for plan in basis.advice.ends
        ],
        "findings": basis.advice.findings,
        "out_of_band": basis.out_of_band,
        "for_the_rider": basis.advice.for_the_rider,
        "expectations": pending_judgements(entry, head.stop),
        "verdicts": Verdict.choices,
        "same_finding_today": same_finding_today(entry, codes),
        "sources": basis.catalogue.sources,
        "travel_place": travel_place_question(entry.bike),
        "lacks_figures": _travel_figures_lacking(basis),
    }
    return render(request, "board/advice/page.html", context)


def _travel_figures_lacking(basis: selectors.AdviceBasis) -> list[str]:
    """Of travel read at this stop: which figure of the bike is missing, or cannot be right."""
    placed = [reading for reading in basis.session_readings if reading.place]
    return list(observations.travels(placed, basis.entry.bike).questions.values())


def _plan(
    basis: selectors.AdviceBasis,
    plan: EndPlan,
    known: tuple[Evidence, ...],
    by_pk: dict[Any, Adjuster],
) -> dict[str, Any]:
    suggestion = plan.suggestion
    title = basis.catalogue.title
    shown: dict[str, Any] = {
        "plan": plan,
        "suggestion": suggestion,
        "not_offered": [(title(note.finding), note.why) for note in plan.not_offered],
    }
    if suggestion is None:
        return shown
    code = suggestion.finding.code if suggestion.finding else ""
    noted = [
        row for row in basis.findings if code and row.code == code and row.end in ("", plan.end)
    ]
    evidence = selectors.evidence_for(suggestion.name, known) if code else None
    moves = [_move(by_pk[move.key], move, basis.business) for move in suggestion.moves]
    return {
        **shown,
        "moves": moves,
        "also": [title(other) for other in suggestion.also_points_here],
        "code": code,
        "reason": selectors.reason_of_suggestion(suggestion),
        "finding": noted[-1].pk if noted else "",
        "evidence": evidence,
        "evidence_of_model": models_of(evidence, basis.entry.bike)[:1] if evidence else [],
        "sources": _sources(basis, suggestion.finding) if suggestion.finding else [],
        "large": any(move["large"] for move in moves),
        "tyre_state": _tyre_state(basis, plan),
        "outlook": change_outlook(
            basis.entry, [(by_pk[move.key], move.from_, move.to) for move in suggestion.moves]
        ),
    }


def _sources(basis: selectors.AdviceBasis, finding: CatalogueFinding) -> list[str]:
    """Where it was published, and what is taken from there, in words."""
    listed = [basis.catalogue.sources[code] for code in finding.sources]
    return [*listed, *([finding.source_note] if finding.source_note else [])]


def _tyre_state(basis: selectors.AdviceBasis, plan: EndPlan) -> str:
    """The state a suggested tyre pressure is for: that of the figure it starts from."""
    suggestion = plan.suggestion
    if suggestion is None or suggestion.function != AdjusterFunction.TYRE_PRESSURE:
        return ""
    return basis.bike.tyres[plan.end].set_state


def _move(adjuster: Adjuster, move: AdjusterMove, business: Business) -> dict[str, Any]:
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
