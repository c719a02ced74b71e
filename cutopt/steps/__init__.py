"""Layouts -> what people do: cut trees, store cuts, shop set-ups, lists, labels."""
