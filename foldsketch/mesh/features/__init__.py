"""Features: surfaces get roles, axes, names and measures; a mesh file is read."""
