"""Who the file is from, for which days, made when."""

from xml.etree.ElementTree import Element, SubElement

from jobs.people.dates import business_today

from .books import Books
from .elements import MIDDLE_1, MIDDLE_2, SHORT, address, text


def header(books: Books) -> Element:
    business = books.business
    head = Element("Header")
    text(head, "AuditFileVersion", "2.00")
    text(head, "AuditFileCountry", business.country)
    text(head, "AuditFileDateCreated", business_today().isoformat())
    text(head, "SoftwareCompanyName", "Paddock", MIDDLE_2)
    text(head, "SoftwareID", "Paddock")
    text(head, "SoftwareVersion", "1", SHORT)
    company = SubElement(head, "Company")
    text(company, "RegistrationNumber", business.tax_id or "-", MIDDLE_1)
    text(company, "Name", business.name, MIDDLE_2)
    parts = ("street", "postcode", "city", "country")
    address(company, "Address", {part: getattr(business, part) for part in parts})
    contact = SubElement(company, "Contact")
    person = SubElement(contact, "ContactPerson")
    text(person, "FirstName", "NotUsed", MIDDLE_1)
    text(person, "LastName", business.name, MIDDLE_2)
    text(contact, "Telephone", business.phone, SHORT)
    text(contact, "Email", business.email, MIDDLE_2)
    if business.tax_id:
        registration = SubElement(company, "TaxRegistration")
        text(registration, "TaxRegistrationNumber", business.tax_id, MIDDLE_1)
    if business.iban:
        text(SubElement(company, "BankAccount"), "IBANNumber", business.iban, MIDDLE_1)
    text(head, "DefaultCurrencyCode", business.currency)
    criteria = SubElement(head, "SelectionCriteria")
    text(criteria, "SelectionStartDate", books.since.isoformat())
    text(criteria, "SelectionEndDate", books.until.isoformat())
    text(head, "TaxAccountingBasis", "Invoice", SHORT)
    return head
