"""The workbench: every calculator of ``jobs.tuning`` as a page, and as an answer other
screens can ask for while a number is being typed."""
