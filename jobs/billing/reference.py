"""What a bank transfer is recognised by: the creditor reference of ISO 11649, and the IBAN."""

import re

from django.utils.translation import gettext as _
from stdnum import iban, iso11649
from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_97_10


def creditor_reference(text: str) -> str:
    """ISO 11649 reference from a document's number: RF, two check digits, up to 21 characters.

    Letters and digits of ``text`` are kept, the rest is left out. Raises ValueError where
    nothing is left or too much.

    >>> creditor_reference("539007547034")
    'RF18539007547034'
    """
    body = re.sub(r"[^0-9A-Z]", "", text.upper())
    if not 1 <= len(body) <= 21:
        raise ValueError(f"{text!r} makes no creditor reference: 1 to 21 letters and digits")
    reference = f"RF{mod_97_10.calc_check_digits(body + 'RF')}{body}"
    return iso11649.validate(reference)


def iban_cleaned(text: str) -> str:
    """The IBAN without its spaces. Raises ValueError in words where its check digits are wrong.

    The country's own account rules are not asked: banks follow them, and the tables age.
    """
    try:
        return iban.validate(text, check_country=False)
    except ValidationError:
        raise ValueError(
            _("%(iban)s is not an IBAN: a digit is wrong or missing.") % {"iban": text}
        ) from None
