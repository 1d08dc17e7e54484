"""A walk over a known-good board: in which order its points are read, what was read, and what comes of it.

The order costs the fewest minutes of the shop's file. What was read on one board or on several gives healthy
ranges, or stands beside what the records of a family say.
"""
