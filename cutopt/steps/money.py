"""Amounts of money as they are printed."""

from __future__ import annotations

_SIGNS = {"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "EUR": "€", "GBP": "£"}


def format_amount(cents: int) -> str:
    """Give "136.00", without a currency; a negative amount has a leading hyphen."""
    sign = "-" if cents < 0 else ""
    return f"{sign}{abs(cents) // 100}.{abs(cents) % 100:02d}"


def format_money(cents: int, currency: str) -> str:
    """Give "$309.97", "€12.40", or the code where there is no sign: "CHF 12.40"."""
    sign = _SIGNS.get(currency, f"{currency} " if currency else "")
    return f"{'-' if cents < 0 else ''}{sign}{format_amount(abs(cents))}"
