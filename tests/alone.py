"""What every process of a test run has for itself when several share the work, and the one
folder all of them share."""

import os
import re
import shutil
import tempfile
from pathlib import Path

NAME = "paddock-tests-"
RUN_FOLDER = "PADDOCK_TEST_RUN"


def worker_index() -> int:
    """Which of the processes of a run this is, from 0; 0 where there is only one."""
    return int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))


def environment() -> dict[str, str]:
    """An own data directory, unless one was asked for; an own number in Redis for a worker.

    A process may find in its environment what its parent set for itself.
    """
    own = {}
    if NAME in os.environ.get("DATA_DIR", NAME):
        own["DATA_DIR"] = os.path.join(tempfile.gettempdir(), f"{NAME}{os.getpid()}")
    redis_url = os.environ.get("REDIS_URL", "")
    if "PYTEST_XDIST_WORKER" in os.environ and redis_url:
        own["REDIS_URL"] = re.sub(r"(/\d*)?$", f"/{1 + worker_index()}", redis_url, count=1)
    return own


def run_folder() -> Path:
    """What the processes of one run share: they find its name in their environment.

    A folder named there from outside is used with what is in it.
    """
    return Path(os.environ[RUN_FOLDER])


def run_folder_make() -> bool:
    """By the process that starts the others. False if one was named from outside."""
    if RUN_FOLDER in os.environ:
        return False
    os.environ[RUN_FOLDER] = tempfile.mkdtemp(prefix=f"{NAME}run-")
    return True


def run_folder_remove() -> None:
    shutil.rmtree(os.environ.pop(RUN_FOLDER), ignore_errors=True)
