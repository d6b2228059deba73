"""The customer's pages: history in sentences, wear and its cost, documents, download.

A customer sees only own bikes.
"""
