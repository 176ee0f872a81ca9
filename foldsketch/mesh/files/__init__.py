"""Mesh files: checked before they are parsed, then read as triangles."""
