"""Telephone numbers as people write them, and as a telephone dials them."""

import re


def dialled(phone: str) -> str:
    """The ``tel:`` address of a number as people write it; an extension is dialled after a pause."""
    number, _, extension = phone.lower().partition("x")
    digits = re.sub(r"[^\d+]", "", number)
    return f"tel:{digits}" + (f",{re.sub(r'[^0-9]', '', extension)}" if extension else "")
