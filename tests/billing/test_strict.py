"""The strict rules find each fault planted in a sound document, and name its rule."""

import copy

import pytest

from jobs.billing.strict import broken_rules

SOUND = {
    "BT-1": "R-1",
    "BT-2": "2026-06-13",
    "BT-3": "380",
    "BT-5": "EUR",
    "BT-9": "2026-06-27",
    "scheme": "vat",
    "BG-4": {"name": "Seller", "country_code": "IE", "vat_identifier": "IE6388047V"},
    "BG-7": {"name": "Buyer", "country_code": "IE"},
    "BG-25": [
        {
            "BT-126": "1",
            "BT-129": "132",
            "BT-131": "167.64",
            "BT-146": "15.24",
            "BT-149": "12",
            "BT-153": "Shims",
            "taxes": [{"BT-151": "S", "BT-152": "21"}],
        }
    ],
    "BG-20": [{"amount": "7.64", "taxes": [{"BT-151": "S", "BT-152": "21.0"}]}],
    "BG-21": [],
    "BG-23": [{"BT-116": "160.00", "BT-117": "33.60", "BT-118": "S", "BT-119": "21"}],
    "BT-106": "167.64",
    "BT-107": "7.64",
    "BT-108": "0.00",
    "BT-109": "160.00",
    "BT-110": "33.60",
    "BT-112": "193.60",
    "BT-113": "93.60",
    "BT-114": "0.00",
    "BT-115": "100.00",
}


def test_a_sound_document_breaks_nothing():
    assert broken_rules(SOUND) == []


def planted(path: str, value) -> list[str]:
    terms = copy.deepcopy(SOUND)
    *way, last = path.split("/")
    place = terms
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[last] = value
    return broken_rules(terms)


@pytest.mark.parametrize(
    ("path", "value", "rule"),
    [
        ("BT-106", "167.65", "BR-CO-10"),
        ("BT-107", "7.63", "BR-CO-11"),
        ("BT-108", "0.01", "BR-CO-12"),
        ("BT-109", "160.01", "BR-CO-13"),
        ("BT-110", "33.61", "BR-CO-14"),
        ("BT-112", "193.61", "BR-CO-15"),
        ("BT-115", "100.01", "BR-CO-16"),
        ("BG-23/0/BT-117", "33.10", "BR-CO-17"),
        ("BG-23/0/BT-116", "160.01", "BR-S-08"),
        ("BG-23", [], "BR-CO-18"),
        ("BG-23/0/BT-119", "20", "BR-S-01"),
        ("BG-23/0/BT-120", "why", "BR-S-10"),
        ("BG-25/0/BT-131", "167.65", "PEPPOL-EN16931-R120"),
        ("BG-25/0/BT-146", "-15.24", "BR-27"),
        ("BG-25/0/BT-149", "0.0", "PEPPOL-EN16931-R121"),
        ("BG-25/0/BT-153", "", "BR-25"),
        ("BG-25/0/taxes", [], "BR-CO-4"),
        ("BG-25", [], "BR-16"),
        ("BT-1", "", "BR-02"),
        ("BT-2", None, "BR-03"),
        ("BG-4/name", "", "BR-06"),
        ("BG-7/name", "", "BR-07"),
        ("BG-4/country_code", "", "BR-09"),
        ("BG-7/country_code", "", "BR-11"),
        ("BG-4/vat_identifier", "", "BR-S-02"),
        ("BG-4/vat_identifier", "", "BR-CO-26"),
        ("BT-9", None, "BR-CO-25"),
        ("BT-3", "381", "article 219"),
        ("BT-113", "93.605", "BR-DEC"),
    ],
)
def test_an_inserted_fault_is_named_by_its_rule(path, value, rule):
    assert [line for line in planted(path, value) if rule in line]


def test_not_subject_to_tax_mixes_with_nothing_and_gives_a_reason():
    terms = copy.deepcopy(SOUND)
    terms["BG-25"].append(
        {
            "BT-126": "2",
            "BT-129": "1",
            "BT-131": "10.00",
            "BT-146": "10",
            "BT-153": "Grant",
            "taxes": [{"BT-151": "O", "BT-152": "0"}],
        }
    )
    terms["BG-23"].append({"BT-116": "10.00", "BT-117": "0.00", "BT-118": "O", "BT-119": "0"})
    found = " ".join(broken_rules(terms))
    assert "BR-O-11" in found
    assert "BR-O-10" in found


def test_reverse_charge_names_both_numbers():
    terms = copy.deepcopy(SOUND)
    terms["BG-23"][0] |= {
        "BT-118": "AE",
        "BT-119": "0",
        "BT-117": "0.00",
        "BT-120": "Reverse charge",
    }
    assert "BR-AE-02" in " ".join(broken_rules(terms))
    terms["BG-7"]["vat_identifier"] = "IE6388047V"
    assert "BR-AE-02" not in " ".join(broken_rules(terms))


def test_tax_in_whole_units_is_judged_by_its_own_step():
    terms = copy.deepcopy(SOUND)
    terms["BG-23"][0]["BT-117"], terms["BT-110"] = "34.00", "34.00"
    terms["BT-112"], terms["BT-115"] = "194.00", "100.40"
    assert broken_rules(terms, tax_unit=100) == []
    assert any("BR-CO-17" in rule for rule in broken_rules(terms))
    assert any("BR-CO-17" in rule for rule in broken_rules(SOUND, tax_unit=100))
