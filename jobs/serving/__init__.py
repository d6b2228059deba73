"""A van's own secure address: its name, its authority and certificate, how tablets get them.

names      what VAN may be: a ``.local`` name, another name, or an address
authority  the authority limited to that one name or address, and the server's certificate
announce   the ``.local`` name by multicast DNS (RFC 6762)
install    the page over http from which a tablet installs the authority
upkeep     while the server runs: a new certificate before the old one ends, changed addresses
"""
