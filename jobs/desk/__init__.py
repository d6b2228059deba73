"""The pages of the office: days, entries, customers, crew, devices, money, imports, exports.

``imports`` reads the two files in steps: columns, rows, match, preview, write; nothing is kept
between preview and import. ``forms`` check what was typed, ``records`` writes simple records
with who and when. ``money`` has the pages of prices, documents and payments; ``money.public``
shows the one document that a signed link opens. ``demo`` is the invented trackday.
"""
