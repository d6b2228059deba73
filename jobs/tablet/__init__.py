"""What a tablet needs to work without network, who has it, and what if it is lost.

The scripts are in ``static/tablet``; ``shell`` makes the service worker, ``day`` names the
pages to keep, ``sessions`` passes the tablet from one person to another.

Every form with an ``act_id`` is an act. A tablet keeps its kind, the version of its form's fields
and what was entered (its payload), and sends them to one address (``views.act``, ``kept_act``).
The fields are read into the act's payload on the server, in the same way as those of a page. An
act that an older page kept as an address and fields is posted to that address.

An act is stored on the tablet first and then sent; only an answer of the server removes it. Acts
are sent in the order in which they were entered, one at a time and by one tab at a time (a lock).
An act is marked ``tried`` before it is sent: after that only an answer says whether it was
applied. A form without ``act_id`` goes directly to the server, or the page says that it cannot be
sent. The store only adds tables and never removes one, so that a newer page finds what an older
page has kept. Each version of the pages has its own caches, which are deleted when the newer
version holds the whole day. The modules import each other without a cycle, because static files
with hashed names cannot have one.
"""
