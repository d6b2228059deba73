"""How dates are written in each language (Django's FORMAT_MODULE_PATH)."""
