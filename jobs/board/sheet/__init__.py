"""The bike sheet: everything known of one bike on one screen, and the forms that write it."""
