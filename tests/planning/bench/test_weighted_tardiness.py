"""Published single-machine instances, solved as one person's day.

Source: OR-Library, total weighted tardiness, 40 jobs (J. E. Beasley, "OR-Library:
distributing test problems by electronic mail", JORS 41(11), 1990): 125 instances and the
best known values (all but number 19's proven). Three are carried here;
``python -m jobs.planning tardiness FOLDER`` checks all of them.
"""

from itertools import permutations

import pytest

from jobs.planning import plan, validate
from jobs.planning.bench.tardiness import DESCENTS, tardiness_day
from jobs.planning.cli import main
from jobs.planning.sequence import SequenceJob, block_cost, block_order

CARRIED = {
    1: (
        [
            *(26, 24, 79, 46, 32, 35, 73, 74, 14, 67, 86, 46, 78, 40, 29, 94, 64, 27, 90, 55),
            *(35, 52, 36, 69, 85, 95, 14, 78, 37, 86, 44, 28, 39, 12, 30, 68, 70, 9, 49, 50),
            *(1, 10, 9, 10, 10, 4, 3, 2, 10, 3, 7, 3, 1, 3, 10, 4, 7, 7, 4, 7),
            *(5, 3, 5, 4, 9, 5, 2, 8, 10, 4, 7, 4, 9, 5, 7, 7, 5, 10, 1, 3),
            *(
                1588,
                1620,
                1731,
                1773,
                1694,
                1487,
                1566,
                1844,
                1727,
                1636,
                1599,
                1539,
                1855,
                1645,
                1709,
                1660,
                1582,
                1836,
                1484,
                1559,
            ),
            *(
                1772,
                1510,
                1512,
                1795,
                1522,
                1509,
                1598,
                1658,
                1826,
                1628,
                1650,
                1833,
                1627,
                1528,
                1541,
                1497,
                1481,
                1446,
                1579,
                1814,
            ),
        ],
        913,
    ),
    31: (
        [
            *(66, 83, 4, 64, 29, 66, 54, 6, 82, 80, 92, 79, 88, 52, 84, 24, 44, 60, 75, 83),
            *(68, 36, 88, 2, 13, 64, 25, 29, 54, 84, 65, 17, 99, 85, 65, 22, 81, 11, 62, 100),
            *(9, 8, 7, 5, 2, 4, 6, 8, 3, 1, 7, 9, 5, 4, 5, 8, 4, 10, 10, 1),
            *(1, 7, 4, 1, 6, 3, 3, 4, 9, 9, 6, 6, 7, 3, 7, 5, 5, 9, 2, 7),
            *(
                1480,
                1684,
                1474,
                1438,
                1532,
                931,
                1041,
                1110,
                1219,
                1826,
                1694,
                998,
                1607,
                1400,
                1174,
                1018,
                1033,
                961,
                1708,
                1405,
            ),
            *(
                1424,
                1264,
                1014,
                1314,
                1350,
                1797,
                1122,
                1531,
                1424,
                1441,
                1208,
                1252,
                1022,
                1410,
                938,
                1703,
                933,
                1338,
                1518,
                1090,
            ),
        ],
        6575,
    ),
    62: (
        [
            *(37, 37, 64, 2, 96, 82, 96, 1, 49, 37, 47, 47, 39, 29, 12, 34, 38, 40, 62, 58),
            *(45, 5, 51, 17, 89, 13, 6, 13, 25, 4, 36, 52, 37, 72, 26, 42, 38, 66, 40, 94),
            *(2, 7, 2, 5, 7, 7, 9, 3, 7, 1, 2, 3, 9, 7, 7, 5, 10, 1, 10, 7),
            *(7, 3, 2, 10, 4, 1, 8, 4, 2, 7, 6, 3, 2, 10, 7, 9, 4, 6, 5, 7),
            *(
                846,
                751,
                1016,
                643,
                363,
                1089,
                392,
                1154,
                1120,
                512,
                995,
                509,
                1025,
                290,
                627,
                731,
                328,
                302,
                831,
                616,
            ),
            *(
                521,
                763,
                1016,
                216,
                727,
                431,
                1126,
                820,
                624,
                347,
                793,
                391,
                841,
                1044,
                1005,
                572,
                873,
                243,
                232,
                1130,
            ),
        ],
        13403,
    ),
}


@pytest.mark.parametrize("number", sorted(CARRIED))
def test_a_carried_instance_reaches_its_published_value(number):
    numbers, best_known = CARRIED[number]
    problem = tardiness_day(numbers)
    made = plan(problem, iterations=DESCENTS)
    assert validate(problem, made) == []
    assert made.cost == best_known


@pytest.fixture
def folder(tmp_path):
    """The carried instances as the library's two files have them."""
    numbers = [str(each) for instance, _best in CARRIED.values() for each in instance]
    (tmp_path / "wt40.txt").write_text(" ".join(numbers))
    (tmp_path / "wtopt40.txt").write_text("\n".join(str(best) for _i, best in CARRIED.values()))
    return tmp_path


def test_a_folder_of_instances_on_the_command_line(folder, capsys):
    assert main(["tardiness", str(folder)]) == 0
    assert capsys.readouterr().out.startswith("3 of 3 best known values, mean ")


def test_a_value_below_a_published_one_is_a_failure(folder, capsys):
    best = [best + 1 for _instance, best in CARRIED.values()]
    (folder / "wtopt40.txt").write_text(" ".join(map(str, best)))
    assert main(["tardiness", str(folder)]) == 1
    out = capsys.readouterr().out
    assert out.startswith("0 of 3 best known values")
    assert out.count("BELOW A PUBLISHED VALUE, instance ") == 3


@pytest.mark.parametrize(("text", "says"), [("1 2 3", "3 numbers are not 3"), ("x", "invalid")])
def test_a_file_that_is_no_instance_is_refused(folder, text, says, capsys):
    (folder / "wt40.txt").write_text(text)
    assert main(["tardiness", str(folder)]) == 2
    assert says in capsys.readouterr().err


@pytest.mark.parametrize("seed", range(5))
def test_a_short_block_is_put_in_the_best_order(seed):
    jobs = [
        SequenceJob(
            minutes=2 + (seed + 3 * i) % 7, weight=1 + (2 * i + seed) % 5, due=4 + 3 * i % 11
        )
        for i in range(7)
    ]
    best = min(block_cost(jobs, list(order)) for order in permutations(range(7)))
    found = block_order(jobs, list(range(7)), rounds=40, seed=seed)
    assert block_cost(jobs, found) == best
