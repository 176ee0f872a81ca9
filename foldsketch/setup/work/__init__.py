"""The state of the work: the blank, what is left of it after each cut, and what may be held."""
