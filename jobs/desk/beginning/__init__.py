"""What is left of the beginning: a short list, each step done on the spot or put off.

``forms`` has what each step asks, ``steps`` when it is done and what is written. Nothing is
kept but the steps put off: whether a step is done is read from what it makes.
"""
