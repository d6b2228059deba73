"""Hashed static files of production."""

from paddock.staticfiles import OWN
from tests.shape.source import files


def test_the_imports_of_every_script_of_ours_are_hashed():
    scripts = [path for path in files(".js", homes=("jobs", "paddock")) if "static" in path.parts]
    names = ["/".join(path.parts[path.parts.index("static") + 1 :]) for path in scripts]
    assert len(names) > 10
    assert [name for name in names if not name.startswith(OWN)] == []
