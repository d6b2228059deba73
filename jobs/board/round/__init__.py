"""A round: one person's tasks in order, entered with a gloved thumb."""
