"""Documents on paper: HTML to PDF by WeasyPrint, which is loaded when first needed."""
