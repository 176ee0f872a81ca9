"""Meshes: read safely, cleaned, and recognised as a part."""
