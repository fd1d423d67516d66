"""Addresses of pages, as far as they stand."""

from typing import Any

from django.urls import NoReverseMatch, reverse


def address_of(name: str, *args: Any) -> str:
    """The address of a page; empty where the plan of addresses names it but nobody has written it yet."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""
