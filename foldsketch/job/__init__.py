"""One run: from the choices to a checked model and its files."""
