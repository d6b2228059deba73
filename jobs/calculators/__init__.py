"""The calculators of ``jobs.tuning`` bound to a bike.

``catalogue`` describes every calculator: what it asks for, how it answers. ``business``, ``bike``
and ``reading_context`` collect what is known of the business and of a bike, ``reading_input`` is
one reading as typed or as kept, ``inputs_by_kind`` makes the inputs of its calculator, and
``results`` works out what that reading comes to. The pages are in ``jobs.workbench``; the bike
sheet and the round show parts of it.
"""
