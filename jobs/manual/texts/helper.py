"""The helper's manual: from taking the tablet in the morning to the last task."""

from django.utils.translation import gettext_lazy as _

from ..paragraphs import Manual, Paragraph

TABLET = Paragraph(
    name="tablet",
    title=_("Take the tablet"),
    steps=(
        _("Tap your name and type your PIN. You get the PIN from the tuner."),
        _("If somebody else has the tablet, tap the name at its edge, then your own."),
        _(
            "Without network go on as usual: what you enter is kept on the tablet and sent by"
            " itself later. The bar with your name says how many entries are not sent yet."
        ),
        _("At the end of the day leave the tablet on until everything has been sent."),
    ),
    mind=_("Without network you do not see what others hold. Ask them before a bike goes out."),
    screens=("tablet:home", "account:home", "account:password"),
)

ROUND = Paragraph(
    name="round",
    title=_("Work off your round"),
    steps=(
        _("Open “Round”. The card says which bike, what to do, and until when."),
        _("Compare the frame number if the card says that another bike looks the same."),
        _("Tap “I am on it” when you begin: the others see it, and the plan counts with it."),
        _("Do what the card asks. The number below a field is the last one that was read."),
        _("Tap “Done, next”. If it cannot be done, tap “Skip” and say why."),
        _("After a wrong tap use “Take it back” at the head of the page."),
        _("If nothing of yours is open, a task is offered: “Take it: I am on it”."),
    ),
    picture="round",
    shows=_("The round of a helper: one task with its fields, and the keys below."),
    screens=("board:my-round", "board:round"),
)

ARRIVAL = Paragraph(
    name="arrival",
    title=_("A bike arrives"),
    steps=(
        _("Tap its plate on the board or in your round: this page has all its tasks."),
        _("Make the arrival check before anything else: each point passes or fails."),
        _("Do not guess. A point you could not look at stays open."),
        _("What is not listed for this bike yet is added on its sheet."),
    ),
    mind=_(
        "Exhaust, discs, tyres and warmers are hot. A stand can let the bike fall: level ground,"
        " and a second person when the front is lifted."
    ),
    screens=("board:work",),
)

PIT_IN = Paragraph(
    name="pit-in",
    title=_("A group comes in"),
    steps=(
        _("In the minute before, the board says who begins at which bike. Be there."),
        _("The cards open by themselves: one bike after another, in the order they stop."),
        _("Enter first what fades: hot pressures and temperatures, the push, the rider's words."),
        _("“Next” sends it and shows the next bike; “Not in yet” puts this one last."),
        _("What you do not reach stays in your round. A late reading keeps its minutes."),
    ),
    mind=_("Tyres, discs and exhaust are at their hottest now."),
    screens=("board:pit-in",),
)

HOLD = Paragraph(
    name="hold-a-bike",
    title=_("Something is wrong: hold the bike"),
    steps=(
        _("Tap “Hold” on the card, or “Raise a hold” on the bike's sheet."),
        _("Say in words what you saw, take a photo, tap “Stop this bike”."),
        _("Tell the rider and the tuner yourself. Only a tuner releases a hold."),
        _("After a crash tap “It crashed”. The organiser's inspection comes first."),
    ),
    mind=_(
        "Always hold for: cords, a bulge, a split or lost air in a tyre; play in a bearing; a"
        " leaking seal or shock; an end without damping; a loose caliper; a headshake that grows; a"
        " weave nobody can explain."
    ),
)

COUNT = Paragraph(
    name="count",
    title=_("Count the adjusters"),
    steps=(
        _("Open the bike's sheet and tap the adjuster you count."),
        _("Turn it in until it stops by itself, and count every click. This is its number."),
        _("Turn it out again by the same number, so that it stands as before."),
        _("Type the number, for each leg if they differ. Do all of them before the first session."),
        _("If there is no click to feel or it does not stop, say so there: do not guess."),
    ),
    mind=_("Never force an adjuster's end."),
    screens=("board:sheet-count", "board:sheet-baseline"),
)

READ = Paragraph(
    name="read",
    title=_("Read pressures, tyres, travel and push test"),
    steps=(
        _("Tap “Read” on the bike's sheet, or take the task of your round."),
        _("Say when it was read: “Cold, off warmers, off track” are three different things."),
        _("Read a hot tyre in the first minutes after the stop, at the same gauge as before."),
        _("Read the travel ring, then push it back. Say where it sits at the rear."),
        _("A number that cannot be is refused at once: look again, and type it anew."),
    ),
    mind=_("The tyre maker's pressure range comes before anything on the screen."),
    screens=("board:sheet-read",),
)

PHOTO = Paragraph(
    name="photo",
    title=_("Take a photo"),
    steps=(
        _("Tap “Photos” on the bike's sheet, or the photo of a task."),
        _("Photograph the tyre, the damage or the part so that a stranger knows which it is."),
        _("Go on at once: the photo is made smaller and sent behind you."),
    ),
    screens=("board:sheet-photos",),
)

FIND = Paragraph(
    name="find-a-bike",
    title=_("Find a bike"),
    steps=(
        _("Type the number of its plate at the head of any page and tap the arrow."),
        _("Or point the camera of the tablet at the tag on the bike."),
        _("If two bikes have the number, choose by group, colour and frame."),
    ),
    screens=("board:find", "board:tags"),
)

MANUAL = Manual(
    title=_("Manual for helpers"),
    begin=_(
        "You do one task after the other, and the screen says which. Read the first two paragraphs"
        " before your first day; the “?” at the head of a page opens what belongs to it."
    ),
    paragraphs=(TABLET, ROUND, ARRIVAL, PIT_IN, HOLD, COUNT, READ, PHOTO, FIND),
)
