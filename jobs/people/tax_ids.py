"""VAT identification numbers, checked by the rules of their country."""

from django.utils.translation import gettext as _
from stdnum import get_cc_module
from stdnum.eu import vat
from stdnum.exceptions import ValidationError

# Greece writes EL before its numbers; ISO 3166 calls it GR.
PREFIXES = {"GR": "EL"}


def vat_id_checked(text: str, country: str) -> str:
    """The number as it is written, with its prefix in the European Union.

    Checked is its form and, where there is one, its check digit; whether it is registered only
    the tax office knows. A country whose rules are not known takes any number. Raises
    ValueError in words.

    >>> vat_id_checked("136 695 976", "DE")
    'DE136695976'
    """
    plain = text.strip()
    if not plain:
        raise ValueError(_("Reverse charge needs the customer's VAT ID."))
    try:
        if country.lower() in vat.MEMBER_STATES:
            return _with_prefix(plain, PREFIXES.get(country, country))
        module = get_cc_module(country.lower(), "vat")
        return module.validate(plain) if module else plain
    except ValidationError:
        raise ValueError(
            _("%(number)s is not a VAT ID of %(country)s: a character is wrong or missing.")
            % {"number": plain, "country": country}
        ) from None


def _with_prefix(plain: str, prefix: str) -> str:
    compact = "".join(c for c in plain.upper() if c.isalnum())
    return str(vat.validate(compact if compact.startswith(prefix) else prefix + compact))
