"""Whether a known fault is in a package that runs: pip-audit, and its answer in words.

Ends with 1 for a known fault. Where the advisories of pypi.org cannot be had nothing is known:
that is said, and is no failure.
"""

import json
import subprocess
import sys
from pathlib import Path


def audited(home: Path) -> list[dict]:
    """What pip-audit says of each package of the runtime environment."""
    (packages,) = (home / "runtime" / "lib").glob("python*/site-packages")
    command = [home / "tools" / "bin" / "pip-audit", "--path", packages, "--format", "json"]
    answer = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603
    try:
        found: list[dict] = json.loads(answer.stdout)["dependencies"]
    except ValueError:
        print(answer.stderr[-400:])
        return []
    return found


def verdict(packages: list[dict]) -> tuple[int, list[str]]:
    """The exit status, and a line for each fault or one for the whole.

    >>> verdict([{"name": "a", "version": "1", "vulns": []}])
    (0, ['1 package: no fault is known.'])
    """
    looked_at = [one for one in packages if "skip_reason" not in one]
    if not looked_at:
        return 0, ["Not audited: no advisories were reached. Run make audit where pypi.org is."]
    faults = [
        f"{one['name']} {one['version']}: {fault['id']}, mended in {fault['fix_versions'] or '?'}"
        for one in looked_at
        for fault in one["vulns"]
    ]
    if faults:
        return 1, faults
    n = len(looked_at)
    skipped = f"; of {len(packages) - n} nothing could be asked" if n < len(packages) else ""
    return 0, [f"{n} package{'s' if n > 1 else ''}: no fault is known{skipped}."]


if __name__ == "__main__":
    status, lines = verdict(audited(Path(sys.argv[1])))
    print("\n".join(lines))
    sys.exit(status)
