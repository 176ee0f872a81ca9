"""Features and slices to a part, and the part compared with its mesh."""
