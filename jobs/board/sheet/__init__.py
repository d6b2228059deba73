"""The bike sheet: one bike's whole truth on one screen, and the ways to write into it."""
