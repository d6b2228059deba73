"""The catalogue: a list, one finding in a plain form, and the business's own as text."""

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from jobs.advice import selectors, services
from jobs.advice.models import OwnFinding
from jobs.people.access import SignedIn
from jobs.people.enums import TrailEvent
from jobs.people.trail import trail_note
from jobs.tuning import Refused
from jobs.tuning.knowledge import (
    FAMILIES,
    CatalogueFinding,
    FindingFault,
    InvalidFinding,
    finding_table,
    finding_write,
    shipped,
)

from .draft import Table, apply_button, table_from_post
from .form_page import form_page_of
from .forms import FindingFields
from .words import FACTS, PARTS


def listed(request: SignedIn) -> HttpResponse:
    """Our own, then every shipped finding by family, those we amended marked."""
    kept = {one.row.code: one for one in selectors.own_findings()}
    known = shipped().findings
    context = {
        "own": [one for code, one in kept.items() if code not in known],
        "families": [
            (
                str(words),
                [_entry(row, kept.get(row.code)) for row in known.values() if row.family == name],
            )
            for name, words in FAMILIES.items()
        ],
        "amended": sum(code in known for code in kept),
    }
    return render(request, "board/findings/list.html", context)


def _entry(row: CatalogueFinding, own: selectors.ParsedOwnFinding | None) -> dict[str, Any]:
    """A shipped finding as it stands today, and what of it we amended."""
    finding = own.finding if own else None
    return {
        "code": row.code,
        "finding": finding or row,
        "own": own,
        "shipped": row,
        "changed": list(_changed(finding, row)) if finding else [],
    }


def _changed(ours: CatalogueFinding, theirs: CatalogueFinding) -> Iterator[str]:
    """The names of what differs."""
    one, other = finding_table(ours), finding_table(theirs)
    for key in {**one, **other}:
        if one.get(key) != other.get(key):
            field = FindingFields.base_fields.get(key)
            yield str(field.label) if field else str(PARTS[key])


def edit(request: SignedIn, code: str = "") -> HttpResponse:
    """One finding in the form; what it says is ours from the first save on."""
    row = OwnFinding.objects.filter(code=code).first()
    is_shipped = code in shipped().findings
    if request.method != "POST" and code and not row and not is_shipped:
        messages.error(request, _("There is no finding %(code)s.") % {"code": code})
        return redirect("board:findings")
    as_of = row.stamp if row else ""
    look, fault = "", ""
    faults: list[FindingFault] = []
    if request.method == "POST":
        table = table_from_post(request.POST)
        as_of = request.POST.get("as_of", as_of)
        do = request.POST.get("do", "save")
        if do != "save":
            look = apply_button(table, do, request.POST)
        else:
            fault, faults = _save(request, code, table, as_of)
            if not fault:
                return redirect("board:findings")
            as_of = row.stamp if row else ""
    else:
        try:
            table = _table(code, row)
        except Refused:
            return redirect("board:finding-text", code)
    context = {
        "code": code, "own": row, "is_shipped": is_shipped, "as_of": as_of,
        "sheet": form_page_of(table, selectors.catalogue(), faults),
        "look": look, "fault": fault, "facts": FACTS.items(),
    }  # fmt: skip
    return render(request, "board/findings/form.html", context)


def _table(code: str, row: OwnFinding | None) -> Table:
    if row:
        (finding,) = selectors.findings_read(row.text)
        return finding_table(finding)
    return finding_table(shipped().findings[code]) if code else {"family": "rider"}


def _save(request: SignedIn, code: str, table: Table, as_of: str) -> tuple[str, list[FindingFault]]:
    """Save it; else what to say, and what is wrong in which field."""
    try:
        row = services.own_finding_save(code=code, table=table, by=request.user, as_of=as_of)
    except InvalidFinding as misread:
        return _("Nothing was saved yet. Mend this first:"), list(misread.faults)
    except (ValidationError, Refused) as error:
        return " ".join(getattr(error, "messages", [str(error)])), []
    said = _("%(code)s is kept as our own. Every bike's advice uses it from now on.")
    messages.success(request, said % {"code": row.code})
    return "", []


@require_POST
def drop(request: SignedIn, code: str) -> HttpResponse:
    """Back to the shipped version, or one of our own away."""
    services.own_finding_drop(code=code, by=request.user)
    back = code in shipped().findings
    said = _("%(code)s is as shipped again.") if back else _("%(code)s is removed.")
    messages.success(request, said % {"code": code})
    return redirect("board:findings")


def as_text(request: SignedIn, code: str = "") -> HttpResponse:
    """One finding, or everything of our own, in the open form: to pass on and to take in."""
    fault = ""
    if request.method == "POST":
        text = request.POST.get("text", "")
        try:
            rows = services.own_findings_import(text=text, by=request.user)
        except ValidationError as error:
            fault = " ".join(error.messages)
        else:
            said = ngettext("%(n)d finding is kept.", "%(n)d findings are kept.", len(rows))
            messages.success(request, said % {"n": len(rows)})
            return redirect("board:findings")
    else:
        text = _text(code)
    if "download" in request.GET:
        if code and not text:
            raise Http404(_("There is no such finding."))
        trail_note(TrailEvent.EXPORTED_FINDINGS, by=request.user)
        response = HttpResponse(text, content_type="application/toml; charset=utf-8")
        response["Content-Disposition"] = (
            f'attachment; filename="findings{code and "-" + code}.toml"'
        )
        return response
    context = {"code": code, "text": text, "fault": fault}
    return render(request, "board/findings/text.html", context)


def _text(code: str) -> str:
    rows = OwnFinding.objects.all()
    if not code:
        return "\n\n".join(row.text for row in rows)
    row = rows.filter(code=code).first()
    known = shipped().findings
    return row.text if row else finding_write(known[code]) if code in known else ""
