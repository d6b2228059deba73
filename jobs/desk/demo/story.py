"""What happened to single bikes on the demo's day: invented, and meant to be told.

Refs are the numbers of the organiser's refs in fixtures/entries.csv: 1 is FH-01.
"""

import uuid

from .acts import (
    change,
    conditions,
    delay,
    hold,
    joins,
    judged,
    keep,
    laps,
    move,
    pressure_set,
    release,
    said,
    skip,
    tick,
    told,
    wear,
)
from .player import StoryStep
from .readings import pressures, temperatures

MAREN, ILIAS, PETRA, TOMAS, SANA = 1, 2, 3, 4, 6
COLM, NOOR, ABEL, DAVIT = 7, 8, 10, 12
JONAS, FENNA, OSKAR = 14, 17, 18
HEDY, MILA, GUS, ISOLDE, KASPER = 19, 21, 22, 23, 24


def story() -> list[StoryStep]:
    return [
        *_before_the_first(),
        *_first_round(),
        *_first_round_ends(),
        *_until_lunch(),
        *_afternoon(),
    ]


def _before_the_first() -> list[StoryStep]:
    return [
        *(joins("06:45", name) for name in ("roan", "pim", "sunniva")),
        conditions("07:20", 8, 7, "fog on the lake side"),
        tick(
            "07:58", "roan", MILA, "safety", name="mila-safety", failed="lever",
            words="comes back to the bar after three pulls",
        ),
        told("08:15", ILIAS, "R1", end="front", phase="braking", name="ilias-dives"),
        change(
            "08:16", ILIAS, "front", "preload", "1", "sag 43 mm of 122: too low in front",
            name="ilias-preload", found="ilias-dives",
            expects="Stays higher on the brakes, sag about 1 mm less",
        ),
        StoryStep(
            8 * 60 + 20, "pim", "adjuster",
            lambda s: {
                "entry": s.entries[SANA].pk,
                "adjuster": s.adjuster(SANA, "rear", "compression")[0].pk,
                "state": "broken",
                "words": "turns on without a click",
            },
            "sana-broken",
        ),
        delay("08:26", 10, "fog, the organiser waits"),
        change(
            "08:31", PETRA, "front", "compression", "-1", "stands up on the trailed brake",
            name="petra-from-memory", wrong_by=2,
        ),
        tick("08:44", "roan", FENNA, "identify"),
    ]  # fmt: skip


def _first_round() -> list[StoryStep]:
    return [
        said(
            "09:12", MAREN, 1, "chatters into the hairpin, worse from lap four on",
            end="front", phase="entry", corner="Hairpin",
        ),
        *judged("09:15", ILIAS, 1, "ilias-preload", "partly", "a little higher, still deep"),
        told("09:18", MAREN, "R5", end="front", phase="entry", name="maren-chatter"),
        change(
            "09:19", MAREN, "front", "rebound", "3", "comes back late on hot oil, chatters",
            name="maren-rebound", found="maren-chatter", read_back=False,
            expects="No chatter into the Hairpin, the front follows the ground",
        ),
        move("09:24", "sunniva", GUS, "arrived"),
        StoryStep(
            9 * 60 + 32.4, "sunniva", "tick",
            lambda s: {
                "entry": s.entries[COLM].pk, "session": s.sessions["B", 1].pk,
                "item": s.items["hot-reads"].pk,
                "readings": [*pressures(s, NOOR, "track", 1), *temperatures(NOOR, 1)],
            },
            "look-alikes",
        ),
        StoryStep(
            9 * 60 + 36, "sunniva", "move",
            lambda s: {
                "rows": [
                    str(uuid.uuid5(s.act_id("look-alikes"), f"reading {n}")) for n in range(4)
                ],
                "to": s.entries[NOOR].pk,
            },
            "look-alikes-mended",
        ),
        said(
            "09:35", COLM, 1, "the rear steps out on the gas and takes two goes to calm down",
            end="rear", phase="exit", corner="Long Right",
        ),
        told("09:37", COLM, "R8", end="rear", phase="exit", name="colm-wallows"),
        change(
            "09:38", COLM, "rear", "rebound", "-2", "overshoots once on hot oil",
            name="colm-rebound", found="colm-wallows",
            expects="The rear settles in one movement out of the Long Right",
        ),
        release(
            "09:44", lambda s: uuid.uuid5(s.act_id("mila-safety"), "hold lever"),
            "bled by the circuit's workshop, firm on ten pulls, looked at again",
        ),
        tick("09:46", "roan", MILA, "safety", name="mila-safety-again"),
    ]  # fmt: skip


def _first_round_ends() -> list[StoryStep]:
    return [
        said(
            "09:53", JONAS, 1, "arms hurt after four laps, the bumps come through the bar",
            end="front", phase="any",
        ),
        told("09:55", JONAS, "R13", end="front", phase="any", name="jonas-harsh"),
        change(
            "09:56", JONAS, "front", "compression", "2", "harsh over the Kink, little travel used",
            name="jonas-compression", found="jonas-harsh",
            expects="Bumps in the Kink no longer reach the bar",
        ),
        move("09:58", "pim", MILA, "did not go out"),
        hold("10:13", "sunniva", HEDY, "headshake on the straight grows with speed", name="hedy"),
        told("10:19", HEDY, "R12", phase="straight", name="hedy-weave"),
        pressure_set(
            "10:20", HEDY, "rear", "22", "29", "found at 22 psi hot",
            name="hedy-pressure", found="hedy-weave",
            expects="Straight without a shake",
        ),
        release(
            "10:24", lambda s: s.act_id("hedy"),
            "head bearing without play, wheel and axle looked at, rear tyre was at 22 psi",
        ),
    ]  # fmt: skip


def _until_lunch() -> list[StoryStep]:
    return [
        conditions("10:40", 12, 19),
        *judged("10:34", MAREN, 2, "maren-rebound", "seen", "gone, braking a marker later"),
        StoryStep(
            10 * 60 + 37, "roan", "withdraw",
            lambda s: {"row": str(s.act_id("petra-from-memory"))}, "petra-withdrawn",
        ),
        told("10:38", PETRA, "R3", phase="entry", name="petra-heavy"),
        change(
            "10:39", PETRA, "front", "compression", "1", "stands up on the trailed brake",
            name="petra-compression", found="petra-heavy",
            expects="Stays down on the trailed brake",
        ),
        wear("09:18", ILIAS, "rear", 4.8, 4.6, 4.4),
        wear("10:38", ILIAS, "rear", 4.6, 4.4, 4.1),
        laps("10:41", TOMAS, [96.8, 95.9, 95.4, 95.6, 95.3, 95.7, 95.5]),
        *judged("10:55", COLM, 2, "colm-rebound", "not_seen", "still two goes to calm down"),
        change(
            "10:57", COLM, "rear", "rebound", "2", "not seen: put back first", name="colm-back"
        ),
        told("10:58", COLM, "R9", end="rear", phase="exit", name="colm-wide"),
        change(
            "10:59", COLM, "rear", "compression", "-2", "squats and winds up on the gas",
            name="colm-compression", found="colm-wide",
            expects="Less squat out of the Long Right, holds its line",
        ),
        *judged("11:15", JONAS, 2, "jonas-compression", "seen", "eight laps, arms are fine"),
        *judged("11:35", HEDY, 2, "hedy-pressure", "seen", "straight as a rail"),
        *judged("11:55", PETRA, 3, "petra-compression", "not_seen", "still stands up at the apex"),
        change(
            "11:58", PETRA, "front", "compression", "-1", "not seen: put back first",
            name="petra-back",
        ),
        wear("11:57", ILIAS, "rear", 4.4, 4.1, 3.8),
        hold("12:21", "pim", OSKAR, "oil on the left fork tube, seal leaks", name="oskar"),
        change(
            "12:38", ABEL, "rear", "rebound", "1", "kicks over the crest", name="abel-unplaced",
            wrong_by=1,
        ),
        skip("12:56", "sunniva", ISOLDE, "hot-reads", "three came in at once", 3),
        delay("12:57", 5, "a bike is fetched from the Quay"),
    ]  # fmt: skip


def _afternoon() -> list[StoryStep]:
    return [
        *judged("13:10", COLM, 3, "colm-compression", "seen", "one movement, and quicker"),
        move("13:40", "pim", OSKAR, "gone home"),
        wear("13:58", ILIAS, "rear", 4.2, 3.9, 3.5),
        wear("15:18", ILIAS, "rear", 4.0, 3.7, 3.2),
        wear("16:38", ILIAS, "rear", 3.9, 3.5, 2.9),
        conditions("14:00", 15, 27),
        change(
            "14:14", PETRA, "front", "tube_height", "1", "stands up on the brake: next cause",
            name="petra-height", found="petra-heavy",
            expects="Turns in with less push on the bar, stays down",
        ),
        laps("15:16", TOMAS, [94.9, 93.1, 92.6, 92.4, 92.8, 92.5, 92.7]),
        *judged("15:30", PETRA, 5, "petra-height", "seen", "stays down to the apex"),
        said(
            "15:42", TOMAS, 5, "three seconds quicker and now it runs wide on the gas",
            end="rear", phase="exit", corner="Chapel",
        ),
        told("15:45", TOMAS, "R9", end="rear", phase="exit", name="tomas-wide"),
        change(
            "15:46", TOMAS, "rear", "compression", "-1", "quicker by three seconds: runs wide",
            name="tomas-compression", found="tomas-wide", expects="Holds its line out of Chapel",
        ),
        said(
            "16:20", DAVIT, 5, "Track 1 was calmer than Track 2, I stay there", phase="any"
        ),
        laps("16:34", TOMAS, [94.2, 92.5, 92.3, 92.6, 92.2, 92.4]),
        keep("16:36", MAREN, "dry", "Fenholt dry, autumn"),
        *judged("16:40", TOMAS, 6, "tomas-compression", "seen", "on line, same times"),
    ]  # fmt: skip
