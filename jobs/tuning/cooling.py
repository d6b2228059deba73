"""How long after the stop a bike still tells what it did on track.

Minutes since the stop; common practice, no source.
"""

# A hot pressure or tyre temperature read within these needs no word of caution.
FRESH_MINUTES = 2
# Oil, and a tyre's pressure, count as hot until then.
HOT_MINUTES = 5
# Oil is cold again after these, and without an outing at all; between, it is warm.
COLD_MINUTES = 60
