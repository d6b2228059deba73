"""Whether two names may be one person's, as banks and people write them."""

import re
import unicodedata

# Banks write Mueller for Müller; both become muller.
TWO_LETTERS = (("ae", "a"), ("oe", "o"), ("ue", "u"), ("ß", "ss"))


def name_words(name: str) -> frozenset[str]:
    """The words of a name, without case, accents and points.

    >>> sorted(name_words("MUELLER, Jürgen")) == sorted(name_words("Juergen Müller"))
    True
    """
    letters = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(one for one in letters if not unicodedata.combining(one))
    for written, short in TWO_LETTERS:
        plain = plain.replace(written, short)
    return frozenset(word for word in re.split(r"[\W_]+", plain) if len(word) > 1)


def names_alike(one: frozenset[str], other: frozenset[str]) -> bool:
    """All words of the shorter name stand in the longer; one word alone must be all of it.

    >>> names_alike(name_words("Voss Maren"), name_words("Maren Voss and Son"))
    True
    >>> names_alike(name_words("Voss"), name_words("Maren Voss"))
    False
    """
    shorter, longer = sorted((one, other), key=len)
    if len(shorter) < 2:
        return bool(shorter) and shorter == longer
    return shorter <= longer
