"""Signing in, and one's own account: password, second factor, a new password for who forgot it.

A customer has no password: signed links open their pages (``jobs/portal``). How tries are counted
and what a browser remembers: ``jobs/people/sign_in.py``; the codes: ``second_factor.py`` there.
"""
