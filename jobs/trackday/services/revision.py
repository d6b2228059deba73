"""The day's revision: by it every screen sees whether anything of the day has changed."""

from django.db import connection, transaction

from jobs.live.services import revision_announce

from ..models import Trackday


def revision_bump(*, trackday_id: int) -> int:
    """Raise the day's revision by one and return it.

    Called last in a transaction: the row lock it takes is held only until commit, so
    revisions are handed out in commit order.
    """
    table = connection.ops.quote_name(Trackday._meta.db_table)
    with transaction.atomic(savepoint=False), connection.cursor() as cursor:
        cursor.execute(
            f"UPDATE {table} SET revision = revision + 1 WHERE id = %s RETURNING revision",  # noqa: S608
            [trackday_id],
        )
        revision: int = cursor.fetchone()[0]
    revision_announce(topic=trackday_id, revision=revision)
    return revision
