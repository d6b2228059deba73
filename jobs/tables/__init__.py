"""Lists as people have them: CSV, Excel and OpenDocument files under headings of their own.

``rows``          pure: text to numbered rows of cells, any encoding and separator
``spreadsheets``  the sheets of a file as CSV text; ``sheet_reader`` opens a spreadsheet in a
                  process of its own, with limits of memory and time
``matching``      pure: which column of a file holds which field, by its heading and its cells
``table``         rows by field name, and what is wrong with a file as a whole, in words
``models``        how the columns of a list were matched, for the next list with these headings
``forms``         the page on which a person chooses sheet, heading row and columns
"""
