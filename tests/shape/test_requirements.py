"""What the program installs is what it uses."""

import ast
import re
from importlib.metadata import distribution, packages_distributions

from .source import ROOT, files

# Used without being imported or named by us.
OTHERWISE = {
    "argon2-cffi": "Django's password hasher",
    "granian": "the server of pages, started by its command",
    "psycopg-pool": "Django's pool of connections to PostgreSQL",
    "tzdata": "what zoneinfo reads where the system has no time zones",
}


def required() -> set[str]:
    """The distributions named before the part that only holds versions of what those bring."""
    named = (ROOT / "requirements.txt").read_text().split("\n\n")[0]
    return set(re.findall(r"^([\w.-]+)(?:\[\w+\])?==", named, re.MULTILINE))


def used() -> set[str]:
    """The top-level modules imported, and the ones settings name in a string."""
    found = set()
    for path in files(".py", homes=("jobs", "paddock")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Import):
                found |= {name.name for name in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                found.add(node.module or "")
            elif isinstance(node, ast.Constant) and path.name == "settings.py":
                found.add(str(node.value))
    return {name.split(".")[0] for name in found}


def test_every_package_required_is_used():
    modules = packages_distributions()
    used_packages = {name for module in used() for name in modules.get(module, [])}
    names = {distribution(name).name for name in required()}
    assert names - used_packages == set(OTHERWISE)
