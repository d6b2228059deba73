"""``python -m tests.mutation ROOM [--count 60] [--seed 1] [--above]``; see the package.

Started in the tree it copies it and starts itself in the copy (``--in-copy``).
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import pytest

from tests.alone import RUN_FOLDER

from .equivalent import reason_of
from .mutants import Mutant, mutants_of, sample
from .trial import Trial

TREE = Path(__file__).parents[2]
ABOVE = {
    "tuning": ["calculators", "workbench", "advice", "board", "api"],
    "trackday": ["setups", "worklist", "acts", "board", "desk", "api"],
    "setups": ["worklist", "advice", "acts", "board", "workbench", "portal", "api"],
    "worklist": ["acts", "board", "desk", "api"],
    "advice": ["acts", "board", "api"],
    "billing": ["acts", "desk", "portal", "api"],
    "acts": ["board", "desk", "api"],
}
OPTIONS = ["-q", "-s", "-m", "not browser", "-p", "no:cacheprovider", "-p", "no:schemathesis"]
NOT_COPIED = ("DATABASE_URL", "REDIS_URL", "NO_SKIPS")  # SQLite and no service


def main() -> None:
    asked = _arguments()
    if asked.in_copy:
        _report(asked.room, _outcomes(asked))
        return
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Path(folder) / "tree"
        _copy(TREE, copy)
        kept = {name: value for name, value in os.environ.items() if name not in NOT_COPIED}
        data, run = copy / "var" / "mutation", copy / "var" / "run"
        data.mkdir(parents=True)
        run.mkdir()
        kept |= {"DATA_DIR": str(data), RUN_FOLDER: str(run)}
        command = [sys.executable, "-m", "tests.mutation", *sys.argv[1:], "--in-copy"]
        ran = subprocess.run(command, cwd=copy, env=kept, check=False)
    sys.exit(ran.returncode)


def _outcomes(asked: argparse.Namespace) -> dict[Mutant, str]:
    mutants = sample(mutants_of(TREE, asked.room), asked.count, asked.seed)
    outcomes = dict.fromkeys((one for one in mutants if reason_of(one) is not None), "equivalent")
    tried = [mutant for mutant in mutants if mutant not in outcomes]
    _try(asked.room, [asked.room], tried, outcomes, "killed")
    if asked.above:
        survivors = [mutant for mutant in tried if outcomes[mutant] == "survived"]
        _try(asked.room, ABOVE[asked.room], survivors, outcomes, "killed by rooms above")
    return outcomes


def _try(
    room: str, tests_of: list[str], tried: list[Mutant], outcomes: dict[Mutant, str], killed: str
) -> None:
    """Run the tests of these rooms against each of the mutants."""
    began = time.monotonic()

    def outcome(mutant: Mutant, survived: bool) -> None:
        outcomes[mutant] = "survived" if survived else killed
        print(f"[{time.monotonic() - began:.0f} s] {outcomes[mutant]} {mutant}", flush=True)

    folders = [f"tests/{name}" for name in tests_of]
    code = pytest.main([*OPTIONS, *folders], [Trial(room, tried, OPTIONS, outcome)])
    if code != pytest.ExitCode.OK:
        raise SystemExit(f"The tests of {', '.join(folders)} could not be run.")


def _report(room: str, outcomes: dict[Mutant, str]) -> None:
    print(f"\nSurvivors of {room}:")
    for mutant, outcome in outcomes.items():
        if outcome == "survived":
            print(mutant)
    counts = Counter(outcomes.values())
    names = ("killed", "killed by rooms above", "survived", "equivalent")
    print(f"\n{room}: " + ", ".join(f"{counts[name]} {name}" for name in names))


def _copy(tree: Path, copy: Path) -> None:
    """What git tracks or would track, as it stands now."""
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(listed, cwd=tree, capture_output=True, check=True).stdout.decode()
    for name in filter(None, names.split("\0")):
        if (tree / name).is_file():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(tree / name, copy / name)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("room", choices=sorted(ABOVE))
    parser.add_argument("--count", type=int, default=60, help="mutants in the sample")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--above", action="store_true", help="survivors: rooms above too")
    parser.add_argument("--in-copy", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


if __name__ == "__main__":
    main()
