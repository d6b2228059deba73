"""Neither a log line nor an export holds a token that opens something."""

import io
import logging
import re
import uuid

import pytest
from django.urls import reverse

from jobs.acts.takeaway import business_takeaway
from jobs.desk.link_mail import link_send
from jobs.people.token_addresses import tokens_masked
from paddock.logs import LineFormatter
from tests.acts.test_takeaway import opened
from tests.shape.source import ROOT
from tests.shape.test_access import VIEWS

TOKEN = "x7Yq-4_Zb:1tQw"
WITH_TOKEN = [(name, wanted) for name, wanted in VIEWS if "token" in wanted]


@pytest.mark.parametrize(("name", "wanted"), WITH_TOKEN, ids=[name for name, _ in WITH_TOKEN])
def test_no_address_with_a_token_is_logged_with_it(name, wanted):
    address = reverse(name, kwargs={one: TOKEN if one == "token" else "x" for one in wanted})
    assert TOKEN not in tokens_masked(f"Gone: {address} and https://a.example{address}")


@pytest.mark.parametrize(("name", "wanted"), WITH_TOKEN, ids=[name for name, _ in WITH_TOKEN])
def test_the_readmes_proxy_logs_no_token_either(name, wanted):
    """The expression is PCRE's, as nginx reads it; Python writes a named group with a P."""
    [expression] = re.findall(r'"~(\^.+)" "\$\{start\}\.\.\."', (ROOT / "README.md").read_text())
    address = reverse(name, kwargs={one: TOKEN if one == "token" else "x" for one in wanted})
    start = re.match(expression.replace("?<start>", "?P<start>"), address)
    assert start
    assert TOKEN not in start["start"]


def test_the_addresses_with_a_token_are_found():
    assert {"portal:open", "document", "account:reset"} <= {name for name, _wanted in WITH_TOKEN}


@pytest.mark.django_db
def test_a_link_that_opens_nothing_is_logged_without_its_token(client):
    lines = io.StringIO()
    handler = logging.StreamHandler(lines)
    handler.setFormatter(LineFormatter("%(message)s"))
    logger = logging.getLogger("django.request")
    logger.addHandler(handler)
    try:
        client.get(reverse("portal:open", args=[TOKEN]))
    finally:
        logger.removeHandler(handler)
    assert lines.getvalue() == "Gone: /my/open/…/\n"


def test_letters_are_exported_without_the_tokens_in_them(cast):
    mail = link_send(customer=cast.customer_a.customer, by=cast.tuner, request_id=uuid.uuid4())
    token = mail.text.split("/my/open/")[1].split("/")[0]
    archive, _package, _tables = opened(business_takeaway(by=cast.tuner))
    everything = b"".join(archive.read(name) for name in archive.namelist()).decode()
    assert token not in everything
    assert "/my/open/…/" in everything
