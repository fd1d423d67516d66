"""Originals, stored under their SHA-256 and never altered; what a picture says of itself; what may be shown of it.

Knows nothing of the trade. ``keeping`` stores, ``images`` and ``documents`` look before anything is stored.
"""
