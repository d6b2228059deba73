"""The office's pages. Who may open each: jobs/people/access.py."""
