"""Machines' door to the same services and selectors. Who may enter: jobs/people/access.py."""
