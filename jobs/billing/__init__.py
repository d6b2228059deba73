"""Money: price list, charges, quotes, invoices, payments. Amounts are whole minor units.

``arithmetic`` is the exact arithmetic of EN 16931-1, without Django; ``strict`` checks every
document again and shares no code with it. ``selectors.due_charges`` derives what is charged
from the work, so that nothing is typed twice. ``services`` write a draft, issue it with the
next number and no gap, and record payments. After issue nothing changes: the database itself
refuses it (``triggers``). ``printing`` makes the files of a document, ``einvoice`` the
electronic invoice; no other module uses the library factur-x. ``bank_files`` reads what a bank
gives out; its sums (``models.BankLine``) become payments by the same services. ``saft`` writes
the audit file of a period for an accountant; ``services.months`` closes months of the books.

Where money stands is one ledger of rows that are only added (``models.Allocation``):
- A row says how much of one payment, or of one credit note, stands against a document, or on
  account where it names none. A payment's rows add up to what it brought in.
- What is open on an invoice is its total less its rows; free credit is the rows on account.
- A deposit's money stands at the deposit request. An invoice of the same entries takes it into
  account when it is issued: two rows, off the request and onto the invoice (BT-113).
- Where deposits are taxed on receipt the money goes on to the prepayment invoice at once, and
  the final invoice takes that invoice's lines off again (``DocumentLine.settles``).
- A credit note of all that is left lets the deposits stand again where they stood, so that the
  next invoice takes them into account, or they are given back.
- Money moved by hand is two rows as well; a payment struck through has each row reversed.
"""
