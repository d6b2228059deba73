"""``manage.py demo --moment morning|midday|evening``: an invented trackday to walk through."""

from argparse import ArgumentParser
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from jobs.desk.demo.house import PASSWORD, fixture
from jobs.desk.demo.play import MOMENTS, demo_build, demo_day, demo_wake
from jobs.desk.letters import link_url
from jobs.people.models import Business, Customer
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
            call_command("migrate", verbosity=0)  # a demo needs no other step first
        trackday = demo_day()
        if trackday is None or not options["if_empty"]:
            trackday = self._build(options["moment"])
        at = demo_wake(trackday=trackday)
        self.stdout.write(f"{trackday.name}, {trackday.venue}: it is {at:%H:%M} there.\n")
        self._doors()

    def _build(self, moment: str) -> Trackday:
        if not settings.DEMO:
            raise CommandError("This invents a day: set DEMO=1 to say that you mean it.")
        name = fixture("people.json")["business"]["name"]
        if Business.objects.exclude(name=name).exists():
            raise CommandError("This installation belongs to a real business: no demo is loaded.")
        if Trackday.objects.filter(clock_anchor=None).exists():
            raise CommandError("There are real trackdays here: no demo is loaded.")
        zone = ZoneInfo(fixture("people.json")["venue"]["timezone"])
        today = datetime.now(zone).date()
        played = demo_build(moment=moment, on=today)
        self.stdout.write(f"Loaded a day with {played.acts} acts done.\n")
        return played.trackday

    def _doors(self) -> None:
        self.stdout.write(f"\n  {settings.PUBLIC_URL}{reverse('signin')}\n")
        for member in fixture("people.json")["crew"]:
            line = f"  {member['role']:<9} {member['username']:<9} password {PASSWORD}"
            self.stdout.write(line + "\n")
        customer = Customer.objects.filter(bikes__entries__isnull=False).order_by("pk").first()
        if customer is not None:
            self.stdout.write(f"  customer  {customer.name}: {link_url(customer)}\n\n")
