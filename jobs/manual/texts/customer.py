"""The customer's manual: reading the day, keeping it, passing it on."""

from django.utils.translation import gettext_lazy as _

from ..paragraphs import Manual, Paragraph

BIKE = Paragraph(
    name="my-bike",
    title=_("Read your last day"),
    steps=(
        _("Your page opens at your bike. Above stands your last day: what was changed, and why."),
        _("“Before and after” says where each adjuster arrived and where it stands now."),
        _("A word you do not know has a line below it: tap it, and it is explained there."),
        _("Before your next day check that nothing was turned since: count as the page says."),
    ),
    mind=_(
        "After any change build pace over the first laps. Never force an adjuster's end. The tyre"
        " maker's pressure range comes before the pressures here."
    ),
    picture="my-bike",
    shows=_("A customer's page: the bike, the last day, what was changed and what came of it."),
    screens=("portal:bike", "portal:home"),
)

DAYS = Paragraph(
    name="my-days",
    title=_("Earlier days"),
    steps=(
        _("“All days” lists each day with us; tap one to read it as it stood then."),
        _("The curves show your seasons: pressures, tyres, how often a change came as expected."),
        _("“Setup sheet for paper (PDF)” is one page for your garage or another tuner."),
        _("“All photos” shows what was photographed of your bike."),
    ),
    screens=("portal:days", "portal:day", "portal:photos"),
)

SHOW = Paragraph(
    name="show-a-day",
    title=_("Show a day to somebody"),
    steps=(
        _("Open the day and tap “Make a link to this day”. Whoever has the link sees this day."),
        _("Your bills and your other days are not shown."),
        _("“Take the link back” closes it."),
    ),
    screens=("portal:share", "portal:unshare"),
)

PAPERS = Paragraph(
    name="my-papers",
    title=_("Invoices, devices, all your data"),
    steps=(
        _("“Invoices and quotes” has every document as a PDF. A quote is accepted there."),
        _("“Download everything” gives you all that is stored about you and your bikes."),
        _("“Sign out on all other devices” helps if you lost a phone."),
        _("Your link works once. On a new device ask for another by mail: “Send me a new link”."),
    ),
    screens=("portal:everything", "portal:document"),
)

MANUAL = Manual(
    title=_("Manual for customers"),
    begin=_(
        "Your pages tell what was done to your bike, why, and what came of it. They inform: whether"
        " the bike is fit to ride is for you and the organiser's inspection to say."
    ),
    paragraphs=(BIKE, DAYS, SHOW, PAPERS),
)
