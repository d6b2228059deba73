"""``python -m jobs.tuning checks`` prints the check table, ``bench`` the times, ``outlook`` how
often the bands of rings hold, on simulated riders."""

import sys

USAGE = "python -m jobs.tuning checks | bench | outlook\n"


def main(arguments: list[str]) -> int:
    """Run one command. The exit code is 1 if a check fails or a call is over budget."""
    commands = {"checks": checks, "bench": bench, "outlook": outlook}
    if len(arguments) != 1 or arguments[0] not in commands:
        sys.stderr.write(USAGE)
        return 2
    return commands[arguments[0]]()


def checks() -> int:
    from .checks import CHECKS, run
    from .checks.table import HEADING, summary

    results = run(CHECKS)
    sys.stdout.write("\n".join([HEADING, *(result.line() for result in results), ""]))
    sys.stdout.write(summary(results) + "\n")
    return 0 if all(result.passed for result in results) else 1


def bench() -> int:
    from .bench import BUDGET_S, measure, reference_time, report

    timings = measure()
    sys.stdout.write(report(timings, reference_s=reference_time()) + "\n")
    over = [timing for timing in timings if timing.seconds > BUDGET_S]
    sys.stdout.write(f"{len(timings)} calculators, {len(over)} over {BUDGET_S * 1e3:g} ms\n")
    return 1 if over else 0


def outlook() -> int:
    from .outlook.bench.seasons import report, run

    sys.stdout.write(report(run()) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
