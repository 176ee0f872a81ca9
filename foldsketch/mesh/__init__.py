"""Meshes and CAD files: read safely, cleaned, and recognised as a part."""

MESH_FILE_SUFFIXES = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")
"""Endings of the files that are read as meshes."""

CAD_FILE_SUFFIXES = (".step", ".stp", ".iges", ".igs")
"""Endings of the files that the CAD kernel reads."""

READ_FILE_SUFFIXES = MESH_FILE_SUFFIXES + CAD_FILE_SUFFIXES
"""Endings of all files that are read into a part."""
