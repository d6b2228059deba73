"""The day board: the strip, whom to see first, every bike in the order it rolls, the crew."""
