"""What the API takes and gives. Times are UTC with the offset written; positions are text."""
