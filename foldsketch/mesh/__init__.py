"""Meshes: read safely, cleaned, and recognised as a part."""

ENDINGS = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")
"""Endings of the files that are read as meshes."""
