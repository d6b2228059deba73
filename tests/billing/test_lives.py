"""Money is right after any acts in any order. More lives: ``make lives LIVES=5000``."""

import os
import random
import sys

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from jobs.billing.enums import DocumentKind
from jobs.billing.services import credits as credit_services
from jobs.billing.services.series import series_begin
from jobs.people.models import NamedCrew

from .conftest import customer_make
from .lives import Life

LIVES = int(os.environ.get("LIVES", "5"))
PARTS = int(os.environ.get("PARTS", "1"))  # each may be played by a process of its own
# The suite plays the same lives each time; who asks for more gets other ones.
USUAL_SEED = 16


def office_make() -> None:
    """Three customers, and a crew whose invoices have numbers of their own."""
    for name in ("Maren Voss", "Ben Daly", "Quarry Engineering"):
        customer_make(name)
    crew = NamedCrew.objects.create(name="Van 2")
    series_begin(kind=DocumentKind.INVOICE, letters="V2-", crew=crew)


@pytest.mark.django_db
@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_after_every_act_of_an_office_all_sums_agree(prices, tuner, part):
    office_make()
    fresh = random.SystemRandom().randrange(10**9) if "LIVES" in os.environ else USUAL_SEED
    chosen = int(os.environ.get("SEED", fresh))
    lives = LIVES // PARTS
    sys.stdout.write(f"\nPART {part}: {lives} lives from SEED={chosen}\n")
    run_state_machine_as_test(
        seed(chosen)(Life),
        settings=settings(
            max_examples=lives,
            stateful_step_count=15,
            deadline=None,
            database=None,
            phases=[Phase.generate] + [Phase.shrink] * ("SHRINK" in os.environ),
            suppress_health_check=list(HealthCheck),
        ),
    )
    sys.stdout.write(f"{Life.judge}\n")


@pytest.mark.django_db
def test_a_deposit_that_does_not_come_back_is_noticed(prices, tuner, monkeypatch):
    """The lives judge the return of deposits: without it the credit of an invoice fails."""
    office_make()
    monkeypatch.setattr(credit_services, "deposits_return", lambda *args, **kwargs: None)
    life = Life()
    life.begin(included=True, taxed=False, cents=26000)
    life.book(0)
    life.pay(0, cents=1, exact=True)
    life.invoice(0)
    with pytest.raises(AssertionError):
        life.credit(0, how="whole", cents=1)
    monkeypatch.undo()
    life.check()
    life.teardown()
