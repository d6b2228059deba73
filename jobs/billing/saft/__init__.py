"""The books of a period as one XML file in the structure of the OECD's SAF-T 2.00.

SAF-T is the Standard Audit File for Tax (OECD, Guidance for the Standard Audit File, version
2.0, 2010). It is made of the same journal, documents and payments as every other export:

- ``build``: the whole file; ``header``: the business and the period;
- ``master``: accounts, customers, tax codes and units that the rest refers to;
- ``ledger``: the journal; ``invoices`` and ``payments``: the source documents.

Countries ask for versions of their own with further fields: this is for an accountant's
program, and no country's filing. No package carries the OECD's schema; the tests check the
file against a schema that we wrote after its published description.
"""

from .build import saft_xml

__all__ = ["saft_xml"]
