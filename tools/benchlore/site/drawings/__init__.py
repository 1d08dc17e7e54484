"""Drawings: pure functions from records to SVG. Ink is `currentColor`; drawings.css colours the classes."""
