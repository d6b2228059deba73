"""The setup sheet of one bike and day on one A4 page, in black and white, tagged."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import get_language

from jobs.paper.documents import page_count, pdf_make
from jobs.people.selectors import business_get, business_title
from jobs.plots.on_paper import on_paper
from jobs.trackday.models import Entry

from . import sentences
from .cards import ends
from .day_plots import day_plots
from .selectors import last_readings, readings_of_entry, standings_of_day, stories_of_entry

STYLES = ("setups/sheet.css",)
# How many changes, readings and plots are printed: less, until all of it is on one page.
FITS = ((10, 24, 3), (8, 14, 3), (6, 8, 2), (4, 6, 1), (3, 4, 0))


@dataclass(frozen=True)
class SheetFacts:
    """All that stands on a sheet, read once."""

    entry: Entry
    context: dict[str, Any]
    stories: list[Any]
    readings: list[Any]
    plots: list[dict[str, Any]]


def sheet_facts(entry: Entry) -> SheetFacts:
    standings = standings_of_day(entry)
    readings = readings_of_entry(entry)
    business = business_get()
    context = {
        "entry": entry,
        "business": business,
        "business_name": business_title(business),
        "cards": [(end, card) for end in ends(standings) for card in end.cards],
        "language": get_language() or "en",
    }
    return SheetFacts(
        entry=entry,
        context=context,
        stories=stories_of_entry(entry),
        readings=last_readings(readings),
        plots=day_plots(entry, standings, readings),
    )


def sheet_pdf(entry: Entry, *, version: int, handed_over_at: datetime | None = None) -> bytes:
    """One page. ``handed_over_at``: when version 1 was; said on every later one.

    Raises ``jobs.paper.documents.PaperError`` where no PDF can be made on this machine.
    """
    facts, pdf = sheet_facts(entry), b""
    for changes, readings, plots in FITS:
        left_out = max(0, len(facts.stories) - changes)
        html = render_to_string(
            "setups/sheet.html",
            {
                **facts.context,
                "version": version,
                "handed_over_at": handed_over_at,
                "stories": facts.stories[left_out:],
                "left_out": left_out,
                "readings": [
                    {"said": sentences.reading(one), "aside": one.get_tyre_state_display()}
                    for one in facts.readings[-readings:]
                ],
                "plots": [
                    {"title": one["title"], "svg": _drawn(one["svg"])}
                    for one in facts.plots[:plots]
                ],
            },
        )
        pdf = pdf_make(html=html, stylesheets=STYLES)
        if page_count(pdf) == 1:
            break
    return pdf


def _drawn(svg: str) -> str:
    return mark_safe(on_paper(svg))  # noqa: S308 - jobs.plots escapes
