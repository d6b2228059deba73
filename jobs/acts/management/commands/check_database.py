"""``manage.py check_database``: read everything; a sound database is written into again."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from jobs.acts import damage


class Command(BaseCommand):
    help = "Read the whole database. If it is sound, what was stopped because of damage goes on."

    def handle(self, *args: Any, **options: Any) -> None:
        found = damage.faults_of_every_row()
        if connection.vendor == "sqlite":
            found = damage.sqlite_faults("integrity_check") + found
        if found:
            damage.mark()
            sentences = "\n".join(found[: damage.MOST_SENTENCES])
            raise CommandError(
                f"The database is damaged:\n{sentences}\nNothing new is accepted. Keep the files as"
                " they are, and bring the newest good backup into an empty place: README, Backups."
            )
        was_marked = damage.is_marked()
        damage.unmark()
        self.stdout.write("Every table and row can be read: the database is sound.")
        if was_marked:
            self.stdout.write("It was marked as damaged; what is sent is accepted again.")
