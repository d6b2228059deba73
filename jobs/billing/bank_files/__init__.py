"""Files a bank gives out, read into rows: what came in, what went out. Nothing is written here.

``rows``          what every kind of file is read into, and ``BankFileFault``
``camt_reader``   camt.053 of ISO 20022, any version from 001.02 on
``mt940_reader``  MT940, by the library mt-940
``list_reader``   a list with columns of the bank's own, matched by ``jobs.tables``
``reading``       which of them a file is
"""
