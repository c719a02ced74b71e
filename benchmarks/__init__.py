"""Measurements: the engines against open sets of instances and made-up jobs."""
