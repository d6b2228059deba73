"""The addresses that hold a token, so that logs and exports can leave it out.

No model is imported here: the log's formatter needs it before there are any.
"""

import re

# What stands before the token of each kind of link; see tests/people/test_token_addresses.py.
TOKEN = re.compile(r"(/(?:my/open|shared|document|account/new-password/[^/\s]+)/)[^/\s\"'<>]+")
MASK = "…"


def tokens_masked(text: str) -> str:
    """The text without the tokens of the addresses in it.

    >>> tokens_masked("Gone: /my/open/x7Yq/ and https://a.example/document/WzQ:1t/pdf/")
    'Gone: /my/open/…/ and https://a.example/document/…/pdf/'
    """
    return TOKEN.sub(rf"\g<1>{MASK}", text)
