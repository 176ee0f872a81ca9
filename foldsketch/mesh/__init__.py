"""Meshes: read safely, cleaned, and recognised as a part."""

MESH_FILE_SUFFIXES = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")
"""Endings of the files that are read as meshes."""
