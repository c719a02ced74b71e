"""The replay check: cuts a plan again with its own arithmetic and tells what is wrong."""
