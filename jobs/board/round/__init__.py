"""A round: one person's tasks in order, entered on a tablet with gloves on."""
