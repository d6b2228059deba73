"""The business, its users and their roles, customers and riders, devices.

``access`` is the one table of which role may open which view. ``links`` makes the links that
sign a customer in once, without a password. ``services.edit_note`` records who changed what in
the office, ``trail`` who gave data out, released a hold, changed money or rights, by numbers only.
``dates`` gives today's date at the venue or of the business.
"""
