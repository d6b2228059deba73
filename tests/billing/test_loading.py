import json

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from jobs.billing.models import PriceItem, TaxRate, Terms
from jobs.billing.services.loading import prices_load
from jobs.trackday.models import ServicePackage

pytestmark = pytest.mark.django_db


@pytest.fixture
def packages():
    for code in ("day-support", "single-setup", "advice"):
        ServicePackage.objects.create(code=code, name=code)


def test_the_shipped_list_is_loaded_once_and_leaves_alone_what_stands(packages, capsys):
    call_command("prices")
    first = set(PriceItem.objects.values_list("code", "price"))
    PriceItem.objects.filter(code="advice").update(price=50)
    call_command("prices")
    assert capsys.readouterr().out.split("\n")[:2] == [f"{len(first)} prices", "0 prices"]
    assert PriceItem.objects.get(code="advice").price == 50
    assert TaxRate.objects.count() == 2
    assert Terms.objects.get().travel.code == "travel-shared"


def test_a_package_that_is_not_there_is_named_and_nothing_is_loaded():
    data = {"items": [{"code": "a", "name": "A", "kind": "package", "package": "gold"}]}
    with pytest.raises(ValidationError, match="no service package “gold”"):
        prices_load(data=data)
    assert PriceItem.objects.count() == 0


def test_a_file_that_cannot_be_read_says_where(tmp_path):
    file = tmp_path / "prices.json"
    with pytest.raises(CommandError, match="could not be read"):
        call_command("prices", str(file))
    file.write_text(json.dumps({"items": []})[:-1])
    with pytest.raises(CommandError, match="line 1: not JSON"):
        call_command("prices", str(file))
