"""The circuit of a family as a graph, and what a fault does to it."""
