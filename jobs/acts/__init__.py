"""Every trackside write: one act of one person on one device, applied exactly once.

``services.act_apply`` is the only way in, for online forms (``web``), tablets (``tablets``,
``middleware``) and the API. ``registry`` lists the kinds of act; ``handlers`` has one function
per kind, which calls services of the rooms below; ``fields`` are the fields of payloads, and
``withdrawing`` takes an act back. ``models`` keeps every act with its answer. ``faults`` tells
what keeps the server from writing, ``damage`` stops writing into a damaged database, and
``health`` asks what the server needs.

On request a customer's data is given away (``takeaway``) or removed (``removal``,
``acts_without_words``). Which rows are a customer's is in ``customer_rows``; which columns
hold personal text is declared by the models and read by ``columns``.
"""
