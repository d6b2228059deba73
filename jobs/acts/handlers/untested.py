"""One tap for all that a session cut short, or cancelled, has not tested."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.people.enums import CREW
from jobs.setups import services
from jobs.setups.enums import Verdict
from jobs.setups.made import Made
from jobs.setups.models import Judgement
from jobs.setups.selectors import expectations_unjudged
from jobs.worklist.selectors import day_read
from jobs.worklist.untested import Untested, untested

from ..fields import on_day
from ..models import Act
from ..registry import Answer, Context, act
from ..withdrawing import withdraws_acts
from .sessions import SessionPayload


@act("not tested", payload=SessionPayload, roles=CREW)
def not_tested(context: Context, data: dict[str, Any]) -> Answer:
    """Each judgement is a row of its own: one that was tested all the same is judged again."""
    session = data["session"]
    on_day(context, session.trackday_id)
    day = day_read(session.trackday, context.done_at)
    found = next((one for one in untested(day) if one.times.session.pk == session.pk), None)
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


def _judge(context: Context, found: Untested) -> list[Judgement]:
    session = found.times.session
    words = _("%(session)s, %(state)s") % {"session": session, "state": found.times.state.label}
    return [
        services.expectation_judge(
            made=Made(
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


@withdraws_acts("not tested")
def not_tested_take_back(context: Context, earlier: Act) -> str:
    for row in Judgement.objects.filter(pk__in=earlier.answer["judgements"], withdrawn_at=None):
        made = Made(id=context.act_id, by=context.by, done_at=context.done_at, entry=row.entry)
        services.row_withdraw(made=made, row=row)
    return _("What was expected waits to be judged again.")
