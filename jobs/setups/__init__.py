"""The setup book: what was read, set, found, said, expected and judged. Facts only.

Rows are never changed: a later row follows, or one is withdrawn. ``ledger`` gives every row its
place in the order in which the server accepted it. ``services`` write and take ``origin`` (who,
when, the id of the act); ``selectors`` read, with the same number of queries for a book of any
length. ``limits`` says which positions are possible, ``reading_kinds`` what can be read.
Replaying the acts in their order gives the same book (tests/setups/test_replay.py).
"""
