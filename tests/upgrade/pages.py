"""Opens every page on the database that the settings name, and prints those that fail.

Run as a process of its own: ``python -m tests.upgrade.pages``.
"""

import json
import os
import sys

import django


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")
    django.setup()
    from tests.pages import pages_of
    from tests.shape.test_access import VIEWS

    surfaces = {name.partition(":")[0] if ":" in name else "" for name, _wanted in VIEWS}
    found = pages_of(*sorted(surfaces))  # asserts that each answers, and none with a failure
    sys.stdout.write(json.dumps(sorted(page.name for page in found)))


if __name__ == "__main__":
    main()
