"""English: the formats stand where they are used, as in ``{{ day|date:"j F Y" }}``."""
