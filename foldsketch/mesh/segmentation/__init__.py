"""Triangles to surfaces of revolution and planes."""
