"""A part as it is said across a table, one feature a line, to a part file."""
