"""Plans what to buy and how to saw it, from a bill of parts."""

__version__ = "0.1.0"
