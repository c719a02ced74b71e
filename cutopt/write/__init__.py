"""Scenes and lists -> files: PDF, SVG, CSV, JSON; one file per format."""
