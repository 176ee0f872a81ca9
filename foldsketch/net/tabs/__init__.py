"""Glue tabs: which cut edges have one, how large it may be, and its number."""
