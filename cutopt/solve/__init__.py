"""Job -> layouts: which stock to buy and how the blanks lie on it. One idea per file."""
