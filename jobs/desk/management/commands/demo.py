"""``manage.py demo --moment morning|midday|evening``: an invented trackday to walk through."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.urls import reverse

from jobs.desk.demo.business import PASSWORD, fixture
from jobs.desk.demo.play import MOMENTS, demo_day, demo_fresh, demo_resume
from jobs.desk.link_mail import link_url
from jobs.people.models import Customer
from jobs.trackday.models import Trackday


class Command(BaseCommand):
    help = "Load an invented trackday and put its clock to a moment of it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--moment", choices=MOMENTS, default="morning")
        parser.add_argument(
            "--if-empty", action="store_true", help="keep a demo day that is there, and wake it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.DEMO:
            self._say("The demo's database is brought to this version ...")
            call_command("migrate", verbosity=0)  # a demo needs no other step first
        trackday = demo_day()
        if trackday is None or not options["if_empty"]:
            trackday = self._build(options["moment"])
        at = demo_resume(trackday=trackday)
        self.stdout.write(f"{trackday.name}, {trackday.venue}: it is {at:%H:%M} there.\n")
        self._print_addresses()

    def _say(self, words: str) -> None:
        """At once, before what takes its time."""
        self.stdout.write(words + "\n")
        self.stdout.flush()

    def _build(self, moment: str) -> Trackday:
        self._say("An invented day is made: this takes up to a minute ...")
        played = demo_fresh(moment=moment)
        self.stdout.write(f"Loaded a day with {played.acts} acts done.\n")
        return played.trackday

    def _print_addresses(self) -> None:
        self.stdout.write(f"\n  {settings.PUBLIC_URL}{reverse('signin')}\n")
        for member in fixture("people.json")["crew"]:
            line = f"  {member['role']:<9} {member['username']:<9} password {PASSWORD}"
            self.stdout.write(line + "\n")
        customer = Customer.objects.filter(bikes__entries__isnull=False).order_by("pk").first()
        if customer is not None:
            self.stdout.write(f"  customer  {customer.name}: {link_url(customer)}\n\n")
