"""The catalogue of findings, and the business's own hand in it: a plain form, and as text."""
