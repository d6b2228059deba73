"""Template tags of a customer's pages."""
