"""The catalogue of findings, and the forms in which a business writes findings of its own."""
