"""One act for all expectations that a session cut short or cancelled did not test."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.people.enums import CREW
from jobs.setups import services
from jobs.setups.enums import Verdict
from jobs.setups.models import Judgement
from jobs.setups.origin import RowOrigin
from jobs.setups.selectors import expectations_unjudged
from jobs.worklist.selectors import day_read
from jobs.worklist.untested_sessions import UntestedSession, untested_sessions

from ..fields import day_set
from ..models import Act
from ..registry import Answer, Context, act, by_act
from .sessions import SessionPayload


def not_tested_take_back(context: Context, earlier: Act) -> str:
    for row in Judgement.objects.filter(pk__in=earlier.answer["judgements"], withdrawn_at=None):
        origin = RowOrigin(
            id=context.act_id, by=context.by, done_at=context.done_at, entry=row.entry
        )
        services.row_withdraw(origin=origin, row=row)
    return _("What was expected waits to be judged again.")


@act("not tested", payload=SessionPayload, roles=CREW, taken_back=by_act(not_tested_take_back))
def not_tested(context: Context, data: dict[str, Any]) -> Answer:
    """Each judgement is its own row, so that an expectation that was tested can be judged again."""
    session = data["session"]
    day_set(context, session.trackday_id)
    day = day_read(session.trackday, context.done_at)
    found = next(
        (one for one in untested_sessions(day) if one.times.session.pk == session.pk), None
    )
    if found is None:
        raise ValidationError(
            _("Nothing waits for session %(session)s to be judged.") % {"session": session}
        )
    judged = _judge(context, found)
    return Answer(
        ngettext(
            "%(n)d expectation of %(session)s: not tested. Judge it again if it was.",
            "%(n)d expectations of %(session)s: not tested. Judge one again if it was.",
            len(judged),
        )
        % {"n": len(judged), "session": session},
        data={"judgements": [str(row.pk) for row in judged]},
    )


def _judge(context: Context, found: UntestedSession) -> list[Judgement]:
    session = found.times.session
    words = _("%(session)s, %(state)s") % {"session": session, "state": found.times.state.label}
    return [
        services.expectation_judge(
            origin=RowOrigin(
                id=context.further_id(str(row.pk)),
                by=context.by,
                done_at=context.done_at,
                entry=row.entry,
                session=session,
            ),
            expectation=row,
            verdict=Verdict.NOT_TESTED,
            words=words,
        )
        for row in expectations_unjudged(found.waiting)
        if row.entry_id is not None and row.done_at in found.waiting[row.entry_id]
    ]
