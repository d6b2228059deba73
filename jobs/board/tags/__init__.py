"""From the bike in front of one to its sheet: the tag's code, or the number on its plate."""
