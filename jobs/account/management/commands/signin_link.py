"""``manage.py signin_link NAME``: for somebody who cannot sign in any more."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.account.reset_links import reset_link
from jobs.people.enums import STAFF, EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.second_factor import everything_off
from jobs.people.services import edit_note
from jobs.people.trail import trail_note


class Command(BaseCommand):
    help = (
        "Print an address at which a crew member sets a new password, for who forgot it and has "
        "no mail. It works once, within an hour. Without a name: who there is."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", default="", help="the name they sign in with")
        parser.add_argument(
            "--without-second-factor",
            action="store_true",
            help="switch their second factor off, for who lost phone, keys and recovery codes",
        )

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        staff = User.objects.filter(is_active=True, role__in=STAFF).order_by("username")
        names = ", ".join(f"{user.username} ({user.role})" for user in staff) or "nobody"
        if not name:
            self.stdout.write(f"Who may sign in: {names}.")
            return
        user = staff.filter(username=name).first()
        if user is None:
            raise CommandError(f"Nobody who may sign in has the name {name!r}. There is: {names}.")
        if options["without_second_factor"] and everything_off(user=user):
            edit_note(
                by=user,
                verb=EditVerb.REMOVED,
                what="second factor",
                title=f"{user.username}, on the server",
                ref=user.pk,
            )
            trail_note(TrailEvent.FACTOR_OFF, by=None, ref=user.pk)
            self.stdout.write(f"The second factor of {user.username} is switched off.")
        trail_note(TrailEvent.SIGNIN_LINK_MADE, by=None, ref=user.pk)
        self.stdout.write(
            f"{user.display_name} sets a new password here. The address works once, within an "
            f"hour:\n\n  {reset_link(user)}\n"
        )
