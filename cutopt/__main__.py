"""Lets ``python -m cutopt`` do what ``cutopt`` does."""

from cutopt.cli import main

main()
