"""Finding a bike's sheet by the code of its tag or by its start number."""
