"""Mutation testing: does a test fail when one expression of a room is changed?

``make mutants ROOM=setups`` copies the tree to a temporary directory and works there only.
It runs the room's own tests once and notes which test executes which line. From all mutants
of the room it takes a sample (60, chosen by a seed) and runs for each the tests that execute
the mutated line, up to the first failure. It then prints every mutant that survived and the
counts. ``ABOVE=1`` tries the survivors against the tests of the rooms above as well.

The changes are mutmut's, chosen in ``operators.py``, with two of our own. A mutant that no test
can tell from the product is listed with the reason in ``equivalent.toml``; it is recognised by
its file, function and text, so it is found again when lines move.
"""
