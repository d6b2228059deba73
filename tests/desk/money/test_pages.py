import io
import uuid
import zipfile

import pytest
from django.urls import reverse
from PIL import Image

from jobs.billing.enums import DocumentKind
from jobs.billing.links import token_for
from jobs.billing.models import Document, Payment, PriceItem, Series, TaxRate, Terms
from jobs.billing.selectors.payments import document_open
from jobs.billing.services.series import series_begin
from jobs.people.models import Customer, NamedCrew
from tests.billing.conftest import customer_make
from tests.days import day_build
from tests.queries import page_queries


def url(name: str, *args) -> str:
    return reverse(f"money:{name}", args=args)


def said(response) -> str:
    return " ".join(str(message) for message in response.context["messages"])


def test_a_day_from_charges_to_a_paid_invoice(desk, day, payer):
    entry = day.entries[0]
    assert "Full day" in desk.get(url("day", day.trackday.pk)).content.decode()
    form = {"id": uuid.uuid4(), "description": "Weld a bracket", "price": "12,50", "quantity": "2"}
    page = desk.post(url("charge-add", entry.pk), form, follow=True)
    assert "€285.00" in page.content.decode()
    draft = {"kind": "invoice", "entry": [entry.pk]}
    page = desk.post(url("draft", day.trackday.pk), draft, follow=True)
    document = Document.objects.get()
    assert "draft, no number yet" in page.content.decode()
    page = desk.post(url("issue", document.pk), follow=True)
    assert said(page) == "INV-00001 is issued."
    home = desk.get(url("home")).content.decode()
    assert "INV-00001" in home
    paid = {"id": uuid.uuid4(), "method": "cash", "next": url("home")}
    page = desk.post(url("pay", document.pk), paid, follow=True)
    assert said(page) == "INV-00001: payment of €285.00 entered."
    assert "Nothing is open" in page.content.decode()
    assert Payment.objects.get().method == "cash"
    assert "€285.00" in desk.get(url("takings")).content.decode()


def test_all_the_days_invoices_in_one_go_with_the_reasons(desk, day, payer):
    other = customer_make("Ben Daly")
    other.street = ""
    other.save()
    entry = day.entries[1]
    entry.payer = other
    entry.save()
    page = desk.post(url("day-issue", day.trackday.pk), follow=True)
    assert said(page) == "1 invoice issued. No invoice for 2 B: Ben Daly has no address"
    assert url("day-files", day.trackday.pk) in page.content.decode()
    progress = desk.get(url("day-files", day.trackday.pk)).content.decode()
    assert "0 of 1 PDFs made" in progress


def test_what_is_typed_wrong_is_said_and_loses_nothing(desk, day, invoice):
    entry = day.entries[0]
    page = desk.post(
        url("charge-add", entry.pk), {"price": "much", "description": "x"}, follow=True
    )
    assert said(page) == "“much” is not a number such as 12.50."
    page = desk.post(url("pay", invoice.pk), {"amount": "a lot", "id": uuid.uuid4()}, follow=True)
    assert said(page) == "“a lot” is not an amount such as 120.50."
    page = desk.post(url("pay", invoice.pk), {"amount": "1"}, follow=True)
    assert "enter it once more" in said(page)
    page = desk.post(url("discard", invoice.pk), follow=True)
    assert "a credit note takes it back" in said(page)
    page = desk.post(url("draft", day.trackday.pk), {"kind": "invoice"}, follow=True)
    assert said(page) == "Tick the bikes of one payer."
    assert document_open(invoice) == 52000


def test_credit_refund_and_write_off_from_the_document(desk, invoice, pay):
    line = invoice.lines.first()
    form = {"line": [line.pk], "reason": "not done"}
    page = desk.post(url("credit", invoice.pk), form, follow=True)
    assert said(page) == "Credit note C-00001 is issued."
    pay(invoice, 30000)
    page = desk.get(url("document", invoice.pk)).content.decode()
    assert "paid too much" in page
    form = {"id": uuid.uuid4(), "kind": "refund", "method": "cash"}
    desk.post(url("pay", invoice.pk), form)
    assert document_open(invoice) == 0


def test_a_quote_is_accepted_by_its_link_without_an_account(desk, day, stranger):
    draft = {"kind": "quote", "entry": [e.pk for e in day.entries]}
    desk.post(url("draft", day.trackday.pk), draft)
    quote = Document.objects.get()
    token = token_for(quote)
    assert stranger.get(reverse("document", args=[token])).status_code == 410  # still a draft
    desk.post(url("issue", quote.pk))
    page = stranger.get(reverse("document", args=[token])).content.decode()
    assert "Do you accept this quote?" in page
    page = stranger.post(
        reverse("document-accept", args=[token]), {"name": "Maren Voss"}, follow=True
    ).content.decode()
    assert "Accepted by Maren Voss" in page
    page = desk.post(url("deposit", quote.pk), follow=True)
    assert Document.objects.filter(kind=DocumentKind.DEPOSIT_REQUEST).count() == 1
    assert "Deposit, 30 % of quote Q-00001" in page.content.decode()


def test_a_changed_link_opens_nothing(stranger, invoice):
    token = token_for(invoice)
    nobody = token_for(Document(pk=999_999, customer=invoice.customer))
    for wrong in (token[:-1] + ("a" if token[-1] != "a" else "b"), "1", nobody):
        assert stranger.get(reverse("document", args=[wrong])).status_code == 410
        assert stranger.get(reverse("document-file", args=[wrong, "pdf"])).status_code == 410


def test_withdrawing_a_customers_links_closes_those_to_documents(desk, stranger, invoice):
    def status(token):
        return stranger.get(reverse("document", args=[token])).status_code

    sent = token_for(invoice)
    assert status(sent) == 200
    desk.post(reverse("desk:customer-links-withdraw", args=[invoice.customer_id]))
    assert status(sent) == 410
    assert status(token_for(Document.objects.get(pk=invoice.pk))) == 200  # one sent afterwards


def test_customers_see_their_own_documents_and_nobody_elses(cast, signed_in, invoice, payer):
    Customer.objects.filter(user=cast.customer_a).update(user=None)
    Customer.objects.filter(pk=payer.pk).update(user=cast.customer_a)
    own, other = signed_in(cast.customer_a), signed_in(cast.customer_b)
    address = reverse("portal:document", args=[invoice.pk])
    page = own.get(address).content.decode()
    assert "INV-00001" in page
    assert "INV-00001" in own.get(reverse("portal:home")).content.decode()
    assert other.get(address).status_code == 404
    assert other.get(reverse("portal:document-pdf", args=[invoice.pk])).status_code == 404
    assert "INV-00001" not in other.get(reverse("portal:home")).content.decode()


def test_a_helper_sees_no_money(signed_in, helper, invoice, day):
    browser = signed_in(helper)
    for name, args in (
        ("home", ()),
        ("day", (day.trackday.pk,)),
        ("entry", (day.entries[0].pk,)),
        ("document", (invoice.pk,)),
        ("journal", ()),
    ):
        assert browser.get(url(name, *args)).status_code == 403


def test_the_tuner_gets_from_a_bikes_sheet_to_what_it_owes_and_a_helper_does_not(
    desk, signed_in, helper, day
):
    entry = day.entries[0]
    sheet = reverse("board:sheet", args=[entry.pk])
    assert url("entry", entry.pk) in desk.get(sheet).content.decode()
    assert url("entry", entry.pk) not in signed_in(helper).get(sheet).content.decode()
    assert "€260.00" in desk.get(url("entry", entry.pk)).content.decode()


def test_the_price_list_is_kept_by_hand(desk, prices):
    form = {
        "name": "Shock service",
        "kind": "labour",
        "price": "140",
        "unit": "C62",
        "tax_code": "standard",
        "order": "",
    }
    page = desk.post(url("price-new"), form, follow=True)
    assert "Shock service" in page.content.decode()
    item = PriceItem.objects.get(name="Shock service")
    page = desk.post(url("price-edit", item.pk), form | {"percent": "5"}).content.decode()
    assert "Only a discount is a percentage." in page
    desk.post(url("price-retire", item.pk))
    assert not PriceItem.objects.get(pk=item.pk).active
    rate = {
        "code": "standard",
        "name": "VAT",
        "percent": "21",
        "category": "S",
        "valid_from": "2030-01-01",
    }
    desk.post(url("rate-new"), rate)
    former = TaxRate.objects.get(code="standard", percent=23)
    assert former.valid_to.isoformat() == "2029-12-31"


def test_terms_take_a_logo_only_if_it_is_a_picture(desk, prices):
    form = {
        "scheme": "vat",
        "prices_include_tax": "on",
        "payment_days": "10",
        "reminder_days": "10",
        "quote_days": "14",
        "deposit_percent": "30",
        "no_show_percent": "100",
        "weather_percent": "0",
        "days_0": "14",
        "percent_0": "25",
        "days_1": "0",
        "percent_1": "80",
        "account_sales": " 8400 ",
    }
    upload = io.BytesIO(b"<svg onload='x'/>")
    upload.name = "logo.png"
    page = desk.post(url("terms"), form | {"picture": upload}).content.decode()
    assert "not a PNG, JPEG or WebP picture" in page
    assert Terms.objects.get().payment_days == 14
    picture = io.BytesIO()
    Image.new("RGB", (2000, 200)).save(picture, format="PNG")
    picture.seek(0)
    picture.name = "logo.png"
    desk.post(url("terms"), form | {"picture": picture})
    kept = Terms.objects.get()
    assert (kept.payment_days, kept.cancellation_scale) == (10, [[14, 25], [0, 80]])
    assert (kept.accounts["sales"], kept.accounts["bank"]) == ("8400", "")
    logo = Image.open(io.BytesIO(desk.get(url("logo")).content))
    assert (logo.format, logo.size) == ("PNG", (900, 90))
    for wrong, words in (
        ({"percent_0": ""}, "A step has both: days and percent."),
        ({"days_1": "3"}, "The scale needs a step for 0 days."),
        ({"percent_0": "120"}, "less than or equal to 100"),
    ):
        assert words in desk.post(url("terms"), form | wrong).content.decode()
    assert Terms.objects.get().cancellation_scale == [[14, 25], [0, 80]]
    page = desk.get(url("tax")).content.decode()
    assert "The journal names accounts that have no number yet." in page


def test_the_accountant_takes_journal_and_bundle(desk, invoice):
    journal = desk.get(url("journal"))
    assert journal["Content-Type"].startswith("text/csv")
    assert b"INV-00001" in journal.content
    audit_file = desk.get(url("saft"))
    assert audit_file["Content-Type"] == "application/xml"
    assert b"<InvoiceNo>INV-00001</InvoiceNo>" in audit_file.content
    bundle = zipfile.ZipFile(io.BytesIO(desk.get(url("bundle")).content))
    assert "SHA256SUMS" in bundle.namelist()
    assert "VAT" in desk.get(url("tax")).content.decode()


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_days_page_asks_the_same_at_any_size(desk, prices, bikes):
    day = day_build(bikes=bikes)
    assert page_queries(desk, url("day", day.trackday.pk)) == 24


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_open_items_ask_the_same_at_any_size(desk, prices, bikes):
    from jobs.billing.services.days import day_invoices_issue

    day = day_build(bikes=bikes, customers=[customer_make(f"Ada {n}") for n in range(bikes)])
    assert len(day_invoices_issue(trackday=day.trackday, by=None).invoices) == bikes
    assert page_queries(desk, url("home")) == 28


def test_the_numbers_of_documents_begin_where_the_former_book_stopped(desk, day, payer):
    page = desk.get(url("numbers")).content.decode()
    assert "next: INV-00001" in page
    wanted = {f"{kind}-letters": f"{kind[:2].upper()}-" for kind in DocumentKind.values}
    wanted |= {"invoice-first": "148", "quote-letters": "IN-"}
    refusal = desk.post(url("numbers"), wanted)
    assert "could be taken for a number of another kind: Quote." in refusal.content.decode()
    assert 'value="148"' in refusal.content.decode()
    assert not Series.objects.exists()
    page = desk.post(url("numbers"), wanted | {"quote-letters": "QU-"}, follow=True)
    assert said(page) == "Kept. Issued documents keep their numbers."
    desk.post(url("draft", day.trackday.pk), {"kind": "invoice", "entry": [day.entries[0].pk]})
    page = desk.post(url("issue", Document.objects.get().pk), follow=True)
    assert said(page) == "IN-00148 is issued."
    assert "invoice-first" not in desk.get(url("numbers")).content.decode()


def test_a_tax_rate_is_corrected_ended_or_removed_on_its_page(desk, invoice):
    used = TaxRate.objects.get(code="standard")
    unused = TaxRate.objects.get(code="reduced")
    page = desk.get(url("rate-edit", used.pk)).content.decode()
    assert "An invoice for 13 June 2026 carries this rate" in page
    assert 'name="percent"' not in page
    assert url("rate-remove", used.pk) not in page
    page = desk.post(url("rate-edit", used.pk), {"valid_to": "2026-06-12"}).content.decode()
    assert "An invoice for 2026-06-13 carries this rate." in page
    desk.post(url("rate-edit", used.pk), {"valid_to": "2026-06-30"})
    used.refresh_from_db()
    assert str(used.valid_to) == "2026-06-30"
    form = {
        "code": "reduced", "name": "VAT", "percent": "9", "category": "S",
        "valid_from": "2020-01-01",
    }  # fmt: skip
    desk.post(url("rate-edit", unused.pk), form)
    unused.refresh_from_db()
    assert (unused.percent, unused.valid_to) == (9, None)
    desk.post(url("rate-remove", unused.pk))
    assert list(TaxRate.objects.all()) == [used]
    page = desk.post(url("rate-remove", used.pk), follow=True).content.decode()
    assert "it stays, and can be ended after that" in page


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({"tax_status": "reverse"}, "Reverse charge needs the customer&#x27;s VAT ID."),
        ({"tax_status": "reverse", "tax_id": "DE136695977"}, "is not a VAT ID of DE"),
        ({"tax_status": "exempt"}, "Say why: the reason is printed on the invoice."),
        ({"tax_status": "reverse", "tax_id": "136 695 976"}, ""),
        ({"tax_status": "exempt", "tax_reason": "Forces abroad"}, ""),
    ],
)
def test_a_customer_is_relieved_of_tax_with_a_vat_id_or_a_reason(desk, payer, values, wrong):
    """DE136695976 is the example of python-stdnum's documentation of German numbers."""
    form = {"name": "Maren Voss", "country": "DE"} | values
    page = desk.post(reverse("desk:customer-edit", args=[payer.pk]), form)
    payer.refresh_from_db()
    assert (wrong in page.content.decode()) if wrong else page.status_code == 302
    assert payer.tax_status == ("" if wrong else values["tax_status"])
    assert payer.tax_id == ("DE136695976" if "tax_id" in values and not wrong else "")


def test_a_crew_is_named_gets_numbers_of_its_own_and_a_day(desk, day, payer):
    page = desk.get(url("numbers")).content.decode()
    assert "With several vans, name each crew here" in page
    page = desk.post(url("numbers-crew-new"), {"name": "Van 2"}, follow=True)
    crew = NamedCrew.objects.get()
    assert "Empty: numbered with the business&#x27;s own" in page.content.decode()
    empty = {"name": "Van 2"} | {f"{kind}-first": "1" for kind in DocumentKind.values}
    own = url("numbers-crew", crew.pk)
    refusal = desk.post(own, empty | {"invoice-letters": "INV-"}).content.decode()
    assert "could be taken for a number of another crew: Invoice." in refusal
    desk.post(own, empty, follow=True)
    assert not Series.objects.exclude(crew=None).exists()
    page = desk.post(own, empty | {"name": "Second van", "invoice-letters": "V2-"}, follow=True)
    assert said(page) == "Kept. Issued documents keep their numbers."
    assert [str(one.crew) for one in Series.objects.exclude(crew=None)] == ["Second van"]
    page = desk.get(url("numbers")).content.decode()
    assert own in page
    assert "Invoice V2-" in page
    edit = reverse("desk:trackday-edit", args=[day.trackday.pk])
    form = desk.get(edit).context["form"]
    assert list(form.fields["named_crew"].queryset) == [crew]
    values = {name: form[name].value() for name in form.fields}
    posted = {name: value for name, value in values.items() if value is not None}
    desk.post(edit, posted | {"named_crew": crew.pk})
    assert "Second van" in desk.get(url("day", day.trackday.pk)).content.decode()
    desk.post(url("day-issue", day.trackday.pk))
    assert Document.objects.get().label == "V2-00001"
    wrong = desk.post(own, empty | {"name": "Second van", "invoice-letters": ""})
    assert "This field is required." in wrong.content.decode()


def test_without_crews_a_day_asks_for_none(desk, day):
    form = desk.get(reverse("desk:trackday-edit", args=[day.trackday.pk])).context["form"]
    assert "named_crew" not in form.fields


@pytest.mark.parametrize("crews", [1, 3])
def test_the_numbers_ask_the_same_with_any_number_of_crews(desk, prices, crews):
    for number in range(crews):
        crew = NamedCrew.objects.create(name=f"Van {number}")
        series_begin(kind=DocumentKind.INVOICE, letters=f"V{number}-", crew=crew)
    assert page_queries(desk, url("numbers")) == 6
