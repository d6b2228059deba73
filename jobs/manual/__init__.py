"""The manual: a page each for helper, tuner, office and customer, in the order of their work.

``texts`` holds the words, one module a manual; ``paragraphs.py`` says what a paragraph is;
``screens.py`` finds the paragraph of a screen, which the "?" in the frame leads to. The
pictures in ``static/manual`` are taken from the demo by ``make pictures``.
"""
