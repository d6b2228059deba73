"""The benches run and count what they say; how fast they are is not tested."""

import os
import subprocess
import sys

import pytest

from .shape.source import ROOT

pytestmark = pytest.mark.slow


def bench(tmp_path, *arguments: str) -> str:
    finished = subprocess.run(
        [sys.executable, "-W", "ignore", "manage.py", "bench", *arguments],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "DATA_DIR": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert finished.returncode == 0, finished.stderr
    return finished.stdout


def test_bench_live_tells_every_listener_every_commit(tmp_path):
    said = bench(tmp_path, "live", "--listeners", "3", "--commits", "2")
    assert "6 of 6 told" in said


def test_bench_acts_names_a_ratio_for_each_kind(tmp_path):
    said = bench(tmp_path, "acts", "--acts", "5")
    assert [line.split()[1] for line in said.splitlines()] == ["conditions", "finding", "change"]
    assert said.count("ratio") == 3


def test_bench_board_names_a_ratio_unchanged_and_cold(tmp_path):
    said = bench(tmp_path, "board", "--bikes", "3")
    assert [line.partition("  ")[0] for line in said.splitlines()[1:]] == [
        "the same rows by the ORM, nothing made of them",
        "board unchanged",
        "board cold, 19 queries",
    ]
    assert said.count("ratio") == 3


def test_bench_fuzz_counts_what_was_refused_and_what_was_done(tmp_path):
    said = bench(tmp_path, "fuzz", "--inputs", "120", "--seed", "3").splitlines()
    assert said[-1].endswith(": 120 inputs, no 500, nothing half written")
    assert sum(int(line.split()[0]) for line in said[:-1]) == 120
    assert {line[7:].split(":")[0] for line in said[:-1]} == {
        "act", "list", "bank file", "findings", "picture",
    }  # fmt: skip


def test_bench_attacks_names_a_ratio_for_each_attack_and_the_memory(tmp_path):
    said = bench(tmp_path, "attacks", "--pages", "2").splitlines()
    assert [line.split(": ")[0] for line in said[:2]] == [
        "a page under 8 wrong-password loops",
        "a page under 4 photo uploads",
    ]
    assert all("times idle (bar" in line for line in said[:2])
    assert "MB in the process (bar 400)" in said[2]
