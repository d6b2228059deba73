"""What the audit of a release says, and that CI runs it."""

import importlib.util

from .source import ROOT

spec = importlib.util.spec_from_file_location("audit", ROOT / ".ci" / "audit.py")
audit = importlib.util.module_from_spec(spec)
spec.loader.exec_module(audit)

FAULT = {"id": "PYSEC-1", "fix_versions": ["2.1"]}


def package(**about):
    return {"name": "somewhat", "version": "2.0", "vulns": [], **about}


def test_a_known_fault_fails_and_names_the_version_that_mends_it():
    status, lines = audit.verdict([package(vulns=[FAULT]), package()])
    assert (status, lines) == (1, ["somewhat 2.0: PYSEC-1, mended in ['2.1']"])


def test_without_advisories_nothing_is_said_to_be_sound():
    status, lines = audit.verdict([package(skip_reason="not found on PyPI")])
    assert (status, "Not audited" in lines[0]) == (0, True)
    assert audit.verdict([])[1] == lines


def test_what_could_not_be_asked_is_counted():
    found = audit.verdict([package(), package(skip_reason="not found")])
    assert found == (0, ["1 package: no fault is known; of 1 nothing could be asked."])


def test_ci_audits_and_make_makes_the_list_of_a_release():
    assert "make audit" in (ROOT / ".ci" / "run").read_text()
    assert "sbom audit:" in (ROOT / "Makefile").read_text()
    pinned = (ROOT / ".ci" / "audit-requirements.txt").read_text()
    assert {line.partition("==")[0] for line in pinned.splitlines() if "==" in line} == {
        "cyclonedx-bom", "pip-audit",
    }  # fmt: skip
