"""Benchlore: a book of checked fault patterns, and the site and arithmetic made from it."""
