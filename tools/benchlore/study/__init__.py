"""What a trainee learns of a board family: the path through it, the cards, and the working behind a reading.

Everything is a pure function of the book. The browser asks the cards, draws what varies by a seed, and keeps
the trainee's progress.
"""
