"""What every process of a test run has for itself, when several share the work."""

import os
import re
import tempfile

NAME = "paddock-tests-"


def environment() -> dict[str, str]:
    """An own data directory, unless one was asked for; an own number in Redis for a worker.

    A process may find in its environment what its parent set for itself.
    """
    own = {}
    if NAME in os.environ.get("DATA_DIR", NAME):
        own["DATA_DIR"] = os.path.join(tempfile.gettempdir(), f"{NAME}{os.getpid()}")
    worker = os.environ.get("PYTEST_XDIST_WORKER", "").removeprefix("gw")
    redis_url = os.environ.get("REDIS_URL", "")
    if worker and redis_url:
        own["REDIS_URL"] = re.sub(r"(/\d*)?$", f"/{1 + int(worker)}", redis_url, count=1)
    return own
