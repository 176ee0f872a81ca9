"""A closed, consistently turned mesh from what the file holds."""
