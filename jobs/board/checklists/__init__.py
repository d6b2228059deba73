"""The editor of checklists: what is asked, in which window, of whom. A save is a new version."""
