"""Glue tabs: which cut edges bear one, how large it may be, and its number."""
