"""The office's manual: before a day, the day's customers, money, and the place itself."""

from django.utils.translation import gettext_lazy as _

from ..paragraphs import Manual, Paragraph

DESK = Paragraph(
    name="desk",
    title=_("Begin at the desk"),
    steps=(
        _("“Waits for you” lists what is due, each with the way to settle it. Work from above."),
        _("“Next days” says what each coming day still lacks."),
        _("On a new place “The beginning, step by step” asks for all that is needed."),
    ),
    picture="desk",
    shows=_("The desk: the sum not yet invoiced, what waits, the next days."),
    screens=("desk:home", "desk:begin", "desk:begin-step"),
)

DAY = Paragraph(
    name="trackday",
    title=_("Prepare a trackday"),
    steps=(
        _("“New trackday”: venue and date. “Make a day from it” copies an earlier one."),
        _("Bring in the timetable, then the entries: the next paragraph says how."),
        _("Say how fast each group rides at “How fast the groups ride”."),
        _("Before you accept a booking look at “Room for more”: it says how many bikes fit."),
    ),
    screens=(
        "desk:trackdays", "desk:trackday-new", "desk:trackday", "desk:trackday-edit",
        "desk:trackday-from", "desk:trackday-second", "desk:trackday-room",
        "desk:trackday-room-group", "desk:trackday-staffing", "desk:run-groups",
        "desk:timetable-regular", "desk:session-new", "desk:session-edit",
    ),
)  # fmt: skip

LISTS = Paragraph(
    name="lists",
    title=_("Take in the organiser's lists"),
    steps=(
        _("“Import timetable” and “Import entries” read Excel, OpenDocument and CSV as they are."),
        _("Choose what a column means if its heading is not known. This is asked once."),
        _("Look at what would be new or changed. Nothing is written before you confirm."),
        _("Single bikes: “Add entry”. A bike that does not come: “The bike does not come”."),
    ),
    screens=(
        "desk:import-entries", "desk:import-timetable", "desk:entry-new", "desk:entry-edit",
        "desk:entry-remove", "money:absent",
    ),
)  # fmt: skip

CUSTOMERS = Paragraph(
    name="customers",
    title=_("Customers and their pages"),
    steps=(
        _("“Send the link” mails a customer the way to their own pages. It opens once."),
        _("At the van let them scan it: “Show a code to scan”."),
        _("Somebody who is in the list twice is linked at “Found twice”."),
        _("“Download everything” gives a customer all their data; a tuner can remove them."),
    ),
    screens=(
        "desk:customers", "desk:customer-new", "desk:customer", "desk:customer-edit",
        "desk:customer-link", "desk:customer-code", "desk:customer-links-withdraw",
        "desk:customer-same", "desk:customer-not-same", "desk:customer-export",
        "desk:customer-remove", "desk:rider-edit",
    ),
)  # fmt: skip

PRICES = Paragraph(
    name="prices",
    title=_("Packages, prices, terms"),
    steps=(
        _("“Packages” are what a customer books, with price and checklists. Make these first."),
        _("“Price list” has parts, labour and everything else."),
        _("“Terms” has letterhead, bank, payment terms, and what a cancelled bike pays."),
        _("“Document numbering” goes on where your former book stopped."),
    ),
    mind=_("Tax law differs by country: have the figures checked by an accountant."),
    screens=(
        "desk:packages", "desk:package-new", "desk:package-edit", "desk:package-drop",
        "money:prices", "money:price-new", "money:price-edit", "money:price-retire",
        "money:rate-new", "money:rate-edit", "money:rate-remove", "money:terms", "money:numbers",
        "money:numbers-crew", "money:numbers-crew-new",
    ),
)  # fmt: skip

INVOICES = Paragraph(
    name="invoices",
    title=_("Invoice a day"),
    steps=(
        _("Open the day under “Money”. Each bike says what it owes, or why it cannot be"
          " invoiced yet."),
        _("Follow the link at the reason and mend it. Nothing is typed twice."),
        _("Issue all invoices of the day in one go, then send them."),
        _("An issued document never changes. “Credit” takes it back; “Wrong address” issues it"
          " again."),
    ),
    picture="money",
    shows=_("A day in Money: each bike with its sum and what still keeps it from an invoice."),
    screens=(
        "money:day", "money:day-issue", "money:day-close", "money:day-call-off", "money:draft",
        "money:entry", "money:charge-add", "money:charge-overrule", "money:charge-withdraw",
        "money:document", "money:issue", "money:discard", "money:credit", "money:reissue",
        "money:deposit", "money:accept", "money:mail", "money:remind",
    ),
)  # fmt: skip

PAYMENTS = Paragraph(
    name="payments",
    title=_("Enter payments"),
    steps=(
        _("Cash and card: “Paid” at the open item, then the sum."),
        _("From the bank: take the statement in at “Bank”. What is sure is placed in one tap."),
        _("The others stand there with what they may pay. Place each, or set it aside."),
        _("A wrong sum or customer has “Correct” beside it."),
        _("What is overdue becomes letters at “Reminders”: read them, then send them."),
    ),
    screens=(
        "money:home", "money:account", "money:reminders", "money:pay", "money:use-credit",
        "money:keep-credit", "money:on-account", "money:payment-withdraw", "money:payment-correct",
        "money:bank", "money:bank-sure", "money:bank-place", "money:bank-aside", "money:bank-back",
    ),
)  # fmt: skip

ACCOUNTANT = Paragraph(
    name="accountant",
    title=_("For the accountant"),
    steps=(
        _("“Takings” is what came in; “Tax and export” has tax by rate and all files."),
        _("Close the month once its figures were given away: nothing changes in it then."),
    ),
    screens=("money:takings", "money:tax", "money:month-close", "money:month-open"),
)

MAIL = Paragraph(
    name="mail",
    title=_("Mail"),
    steps=(
        _("Set your mail server once and send the letter to yourself: “Keep, and try it”."),
        _("“Mail” shows what did not go out and why. “Send it again” tries it once more."),
    ),
    screens=("desk:mails", "desk:mail-server", "desk:mail-again"),
)

HOUSE = Paragraph(
    name="house",
    title=_("Business, crew, tablets"),
    steps=(
        _("“Business” has name, address, venues and your usual figures."),
        _("“Crew”: everybody who works here. Give each helper a PIN."),
        _("“Enrol a tablet” shows a code; type it on the tablet at the address it names."),
        _("A tablet that was lost: “Lost: shut it out”. It opens nothing any more."),
        _("“Springs” is what the van carries: advice names the nearest of them."),
        _("Your own password and second factor: “Your account”, under your name."),
    ),
    screens=(
        "desk:business", "desk:venue-new", "desk:venue-edit", "desk:springs", "desk:spring-new",
        "desk:spring-edit", "desk:spring-remove", "desk:crew", "desk:crew-new", "desk:crew-edit",
        "desk:devices", "desk:device-out", "tablet:prepare", "tablet:pins",
        "account:second-factor", "account:second-factor-off", "account:passkeys",
        "account:passkey-new", "account:passkey-remove",
    ),
)  # fmt: skip

SAFE = Paragraph(
    name="backups",
    title=_("Backups, and when something is wrong"),
    steps=(
        _("“Backups” says how old the last good one is. Carry the files to another machine."),
        _("“Server” names what is missing and what waits. “Trail”: who changed rights or money."),
        _("If a page names a fault, do what it says. Nothing that was confirmed is lost."),
    ),
    screens=(
        "desk:backups", "desk:backup-now", "desk:server", "desk:job-again", "desk:jobs-again",
        "desk:trail", "desk:edits", "desk:everything",
    ),
)  # fmt: skip

MANUAL = Manual(
    title=_("Manual for the office"),
    begin=_(
        "Before a day: lists and customers. After it: invoices and payments. The “?” at the head of"
        " a page opens what belongs to it."
    ),
    paragraphs=(
        DESK, DAY, LISTS, CUSTOMERS, PRICES, INVOICES, PAYMENTS, ACCOUNTANT, MAIL, HOUSE, SAFE,
    ),
)  # fmt: skip
