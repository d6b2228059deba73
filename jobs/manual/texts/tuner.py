"""The tuner's manual: the board in the morning, the bike, the evening; then what is one's own."""

from django.utils.translation import gettext_lazy as _

from ..paragraphs import Manual, Paragraph

BOARD = Paragraph(
    name="board",
    title=_("Begin the day on the board"),
    steps=(
        _("Open “Day”. At “Crew” tap who is here: whoever is here gets a round."),
        _("Enter the weather once at “Weather”, and again when the track turns wet or dry."),
        _("Go to the bike at “See first”: it says which one, why, and how long there is."),
        _("Tap a plate when the bike has come. Below stand all bikes in the order they roll."),
        _("The words “nothing open” say that no task is left. They are no sign-off."),
    ),
    mind=_("The organiser and the marshals come before anything on the screen."),
    picture="board",
    shows=_("The day board: the timetable, whom to see first, the bikes in the order they roll."),
    screens=("board:day", "board:today", "board:choose", "board:crew", "board:conditions"),
)

DELAY = Paragraph(
    name="delay",
    title=_("The timetable changes"),
    steps=(
        _("On the board tap by how many minutes it is late: first you see what this would cost."),
        _("The second tap moves every session that has not begun."),
        _("Flags, sessions that are cut short or cancelled, and lunch: “Timetable”."),
        _("Name a venue's corners once: “Corners and sketch”. Riders' words are tapped to them."),
    ),
    screens=("board:timetable", "board:corners", "board:delay"),
)

PLAN = Paragraph(
    name="plan",
    title=_("What does not fit"),
    steps=(
        _("Look at “Will not fit in the next hour” on the board, and tap “Decide”."),
        _("Each piece of work says why. Take it on, put it off, give it to somebody, or drop it."),
        _("“Plan” shows everybody's work: pin a task to a person, or give it to another."),
        _("“A better round is ready.” moves nothing until somebody takes it."),
    ),
    mind=_("Arrival safety comes before anything else of a bike. No plan takes it away."),
    screens=("board:plan", "board:relief"),
)

WALK_UP = Paragraph(
    name="walk-up",
    title=_("A bike that was not booked; paper"),
    steps=(
        _("“Walk-up” on the board: number, group and name are enough."),
        _("“Print” puts the board and all rounds on paper, for an empty battery."),
    ),
    screens=("board:walk-up", "board:print"),
)

SHEET = Paragraph(
    name="sheet",
    title=_("Read the bike's sheet"),
    steps=(
        _("Above stands what waits for you: holds, changes to place, expectations to judge."),
        _("“It stands at” shows each adjuster against where it arrived: the ring is then, the"
          " triangle is now."),
        _("An adjuster that was never counted has no number: count it before you change it."),
        _("Tap “Read” to enter readings, “Last time here” to see what worked on this track."),
        _("A change that does not fit the book waits as “Not placed”: say where it belongs."),
    ),
    picture="sheet",
    shows=_("A bike's sheet: every adjuster on its ruler, as it arrived and as it stands now."),
    screens=("board:sheet", "board:sheet-day", "board:bike", "board:sheet-move"),
)  # fmt: skip

CHANGE = Paragraph(
    name="change",
    title=_("Change one thing"),
    steps=(
        _("Tap the adjuster on the sheet, then the step, then what should be seen next time."),
        _("Turn it, count it again, and send: “Changed, read back”."),
        _("Change one thing an end. A second one before the first was judged asks you why."),
        _("A helper may do it for you: “Order it”. It comes to a round with its reason."),
        _("“Kept setups” and “Back to as arrived” lead back, step by step."),
    ),
    mind=_(
        "Never force an adjuster's end. Springs, fork caps and compressors store energy. Torque,"
        " gas charge, and opening a fork or shock: the maker's manual and licensed practice. After"
        " any change the rider builds pace over the first laps."
    ),
    screens=(
        "board:sheet-change", "board:sheet-preview", "board:sheet-setups", "board:sheet-back",
    ),
)  # fmt: skip

SEE = Paragraph(
    name="see",
    title=_("Enter what you see and what the rider says"),
    steps=(
        _("Tap “I see something”, the end, and what it is: three taps are a finding."),
        _("The rider's words are tapped to their corner; write the words as they were said."),
        _("Measured numbers raise the same findings by themselves."),
    ),
    screens=("board:see",),
)

ADVICE = Paragraph(
    name="advice",
    title=_("Use the advice"),
    steps=(
        _("Open “Advice” on the bike's sheet after you entered what was seen."),
        _("Answer the check that stands first: it separates the likely causes."),
        _("At most one change per end is offered, with its reason and its source."),
        _("Take it, change it, or leave it: your decision stands in the book."),
        _("What looks good is left alone: “Settle” keeps the setup."),
    ),
    mind=_(
        "Suggestions are common practice, and sources disagree. Gas-charged shocks are never"
        " opened, heated or drilled here."
    ),
    picture="advice",
    shows=_("The advice for a bike: the suspects in their order, each with its check."),
    screens=("board:advice",),
)

JUDGE = Paragraph(
    name="judge",
    title=_("Judge what came of it"),
    steps=(
        _("After the session the bike's sheet and the round ask for each expectation."),
        _("Tap how it came, and by what you know it: ring, tyre, push, rider or lap times."),
        _("If it could not be seen, say so: “not tested” is an answer too."),
        _("“Evidence” shows what such changes did on this bike and on others of its model."),
    ),
    screens=("board:evidence",),
)

EVENING = Paragraph(
    name="evening",
    title=_("Close the day"),
    steps=(
        _("Open “Evening” on the board: it lists what is not judged, placed or handed over."),
        _("Go through it bike by bike. “Hand it over” gives the rider a page of paper."),
        _("Tap “Back up now” when the last bike is done."),
        _("“How the day went” shows what was missed and how long the work took."),
    ),
    picture="evening",
    shows=_("The evening page: the bikes, each with what is still to be done."),
    screens=(
        "board:evening", "board:day-times", "board:sheet-print", "board:sheet-hand-over",
    ),
)  # fmt: skip

BENCH = Paragraph(
    name="bench",
    title=_("Calculate on the bench"),
    steps=(
        _("Open “Workbench” from a bike's sheet: its numbers are filled in."),
        _("Type what you know; the answer says its formula, its source and how sure it is."),
        _("Where sources disagree you see the whole range. “Your own figures” puts yours there."),
    ),
    screens=("workbench:home", "workbench:page", "workbench:table"),
)

MACHINE = Paragraph(
    name="machine",
    title=_("Describe a bike and its parts"),
    steps=(
        _("“Set up the bike” takes its adjusters from a model sheet, or you describe each one."),
        _("“Figures”: springs, travel, linkage and weights, typed in the unit of the box."),
        _("“Tyres and parts” says what is fitted and when it is due for service."),
        _("“Keep this bike as a model sheet” makes the next one of its kind quick."),
        _("Name your gauges at “Gauges”: a reading then says what it was read with."),
    ),
    screens=(
        "board:sheet-outfit", "board:sheet-figures", "board:sheet-fittings", "board:adjuster-new",
        "board:adjuster", "board:model-sheets", "board:model-sheet", "board:model-sheet-figures",
        "board:model-sheets-import", "board:gauges", "board:gauge", "board:sheet-owner",
        "board:sheet-owner-shows",
    ),
)  # fmt: skip

OWN = Paragraph(
    name="own-rules",
    title=_("Your own checklists and findings"),
    steps=(
        _("“Checklists” in the desk: what is asked of a bike, when, and how long it takes."),
        _("A day that has begun keeps the checklists it began with."),
        _("“Findings”: title, end and what is seen are enough; then the suspects and steps."),
        _("“Back to the shipped version” undoes what you amended."),
    ),
    screens=(
        "board:checklists", "board:checklist", "board:checklist-item-new", "board:checklist-item",
        "board:checklist-remove", "board:findings", "board:findings-text", "board:finding-new",
        "board:finding-own", "board:finding-drop", "board:finding-text",
    ),
)  # fmt: skip

MANUAL = Manual(
    title=_("Manual for the tuner"),
    begin=_(
        "The board says who is next, the bike's sheet remembers, the advice asks. What helpers do"
        " at the bike is in their own manual. The “?” at the head of a page opens what belongs to"
        " it."
    ),
    paragraphs=(
        BOARD, DELAY, PLAN, WALK_UP, SHEET, CHANGE, SEE, ADVICE, JUDGE, EVENING, BENCH, MACHINE,
        OWN,
    ),
)  # fmt: skip
